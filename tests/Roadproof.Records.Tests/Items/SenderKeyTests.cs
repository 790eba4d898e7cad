using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;
using Roadproof.Records.Lots;

namespace Roadproof.Records.Tests.Items;

/// <summary>Keys are the senders', but not those under which the line keeps its own records.</summary>
public sealed class SenderKeyTests
{
    public static TheoryData<string> LineOwn => new(
        OwnKeys.SerialIssued("AF85310000016"), OwnKeys.SerialVoid("AF85310000016"), OwnKeys.Capture(RecordKinds.CaptureKept, TestPlant.Sha("SH-1"), 1),
        OwnKeys.Capture(RecordKinds.CaptureRetired, TestPlant.Sha("SH-1"), 2), OwnKeys.Revision("af-85/2"), OwnKeys.LotShift("R-1", "flux"), OwnKeys.LateVerdict(7), OwnKeys.Other("key-1", "00ff"));

    [Theory, MemberData(nameof(LineOwn))]
    public async Task A_key_of_the_line_is_taken_from_no_sender(string key)
    {
        await using var plant = new TestPlant();
        var before = plant.Ledger.Head;
        var message = Assert.Single(await plant.NotUnderstood("st10", plant.Finish("SH-1", "shell-in") with { Key = key }));
        Assert.StartsWith($"message: key: found '{key}', expected a key of the sender's own, never used before. The line itself uses keys that begin with serial-,", message.ToString(), StringComparison.Ordinal);
        await Refused(() => plant.Write(t => ReceiveLot.Decide(t, new(key, "R-1", "rotor", 50, null, plant.Now), plant.Context)));
        await Refused(() => plant.Write(t => HoldLot.Decide(t, new("hold", "R-1", key, "low", plant.Now))));
        await Refused(() => plant.Write(t => Records.Items.HoldUnit.Decide(t, new("hold", "SH-1", key, "look", plant.Now), plant.Context)));
        Assert.Equal(before, plant.Ledger.Head);

        async Task Refused(Func<Task> act) => Assert.Equal("key", Assert.Single((await Assert.ThrowsAsync<InputException>(act)).Errors).Column);
    }

    [Fact]
    public async Task A_used_key_with_words_that_mean_nothing_is_not_understood()
    {
        await using var plant = new TestPlant();
        await plant.ReceiveLots();
        var first = plant.Finish("SH-1", "shell-in");
        var answer = await plant.Take("st10", first);
        var before = plant.Ledger.Head;
        Assert.Equal(["kind", "station", "step"], (await plant.NotUnderstood("st99", first with { Kind = "ask", Step = "nonsense" })).Select(e => e.Column));
        Assert.Equal(before, plant.Ledger.Head);
        Assert.Equal(answer with { Repeat = true }, (await plant.Take("st10", first)) with { Holds = answer.Holds, Readings = answer.Readings, Warnings = answer.Warnings });
    }
}
