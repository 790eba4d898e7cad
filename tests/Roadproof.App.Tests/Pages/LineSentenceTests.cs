using Roadproof.App.Line;

namespace Roadproof.App.Tests.Pages;

/// <summary>What the line says first. Each expected sentence is written by hand from the view.</summary>
public sealed class LineSentenceTests
{
    [Fact]
    public void Starts_with_what_is_most_urgent_then_the_beat() =>
        Assert.Equal("Rotor lot RT-0712 reads 3.1 % low in flux linkage. Load test sets the beat: 64 s against 57.", LineSentence.Of(SampleLines.Busy));

    [Fact]
    public void Says_how_many_are_on_hold_where_nothing_is_more_urgent() =>
        Assert.Equal("Load test sets the beat: 64 s against 57. 9 units are on hold for 3 reasons.", LineSentence.Of(SampleLines.Busy with { Notes = [] }));

    [Fact]
    public void Names_the_reason_where_there_is_one()
    {
        var view = SampleLines.Busy with { Notes = [], TaktS = 70, Figures = SampleLines.Busy.Figures with { OnHold = 1, Holds = [new("Leak too high", 1)] } };
        Assert.Equal("Every station keeps the beat. 1 unit is on hold: leak too high.", LineSentence.Of(view));
    }

    // Each station within its takt, and still too few units come off: "every station keeps the beat" would hide it.
    [Fact]
    public void Says_that_units_come_too_slowly_although_no_station_is_slow()
    {
        var view = SampleLines.Busy with { Notes = [], TaktS = 70, Figures = SampleLines.Busy.Figures with { BeatS = 90, OnHold = 0 } };
        Assert.Equal("A unit comes off every 90 s against 70, though no station is slower: it waited for parts or for people.", LineSentence.Of(view));
    }

    [Fact]
    public void Says_that_nothing_was_built() =>
        Assert.Equal("Nothing built yet today. The line waits for its first shell.", LineSentence.Of(SampleLines.Empty));

    [Fact]
    public void Says_that_the_line_stands_still() =>
        Assert.StartsWith("The line stands still: nothing has moved for 3 h.", LineSentence.Of(SampleLines.Busy with { Notes = [], Now = SampleLines.Busy.Now.AddHours(3) }));

    [Fact]
    public void Says_where_units_pile_up()
    {
        var view = SampleLines.Busy with { Notes = [], TaktS = 70, Stations = [.. SampleLines.Busy.Stations.Select(s => s.Step == "cover" ? s with { WaitingAhead = 7 } : s)] };
        Assert.StartsWith("7 units wait before cover.", LineSentence.Of(view));
    }

    // Three rigs of 192 s give a unit every 64 s: 1 / (3 / 192).
    [Fact]
    public void Stations_side_by_side_share_the_beat() =>
        Assert.Equal(64, LineColumn.Of(SampleLines.Busy).Single(c => c.IsFork).BeatS!.Value, 9);

    [Fact]
    public void A_note_about_a_unit_stands_where_the_unit_is()
    {
        var held = SampleLines.Busy.Notes[2];
        Assert.Equal("rig2", LineColumn.StationOf(held, SampleLines.Busy));
        Assert.Null(LineColumn.StationOf(held with { Item = "SH-9999999" }, SampleLines.Busy));
    }
}
