using System.Globalization;
using Microsoft.Playwright;
using Roadproof.App.LoadTest;
using Roadproof.App.Unit;
using Roadproof.Engineering.Statistics;
using static Microsoft.Playwright.Assertions;

namespace Roadproof.Browser.Tests;

/// <summary>A load-test run looked at closely: the figures of a stretch, one turn of a shaft, orders, another run laid over, the band of other units; on its unit's page and on that of its product's load test.</summary>
public sealed class RunTests(ServedLine line)
{
    // Under a phase current stood "0" and no other figure.
    [Theory]
    [InlineData(-57, 57, 2), InlineData(-9, 11, 2), InlineData(-0.3, 0.4, 2), InlineData(4.9, 5.2, 3), InlineData(0, 600, 5)]
    public async Task An_axis_shows_two_figures_at_least_and_not_many_more_than_fit(double lo, double hi, int most)
    {
        var page = await Traces();
        var ticks = await page.EvaluateAsync<double[]>("([lo, hi, most]) => Scale.ticks(lo, hi, most)", new[] { lo, hi, most });
        Assert.InRange(ticks.Length, 2, 2 * most + 1);
        Assert.All(ticks, t => Assert.InRange(t, lo, hi));
        Assert.Equal(ticks.Order(), ticks);
    }

    [Fact]
    public async Task A_stretch_is_marked_by_dragging_and_its_figures_are_those_of_every_sample()
    {
        var page = await Traces();
        await page.GetByRole(AriaRole.Button, new() { Name = "Mark by dragging" }).PressAsync("Enter");
        var box = (await page.Locator("canvas[data-trace]").BoundingBoxAsync())!;
        await page.Mouse.MoveAsync(box.X + 500, box.Y + 150);
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync(box.X + 620, box.Y + 160, new() { Steps = 4 });
        await page.Mouse.UpAsync();

        var figures = page.Locator("[data-trace-figures]");
        await Expect(figures.Locator("tbody tr")).ToHaveCountAsync(4);
        var (from, to) = (await Number(page, "from"), await Number(page, "to"));
        Assert.InRange(to - from, 1, 60);
        var slow = line.Unit(line.Shipped).LoadTests[^1].Captures.Single(c => c.Name == "slow");
        var table = new RecentCaptures().Find(slow.Sha256, line.Line)!;
        var inside = table.TimeS.Select((t, i) => (t, i)).Where(x => x.t >= from && x.t <= to).Select(x => (double)table.Channels["output_torque_nm"][x.i]).ToList();
        var row = figures.Locator("tbody tr").First;
        await Expect(row.Locator("th")).ToHaveTextAsync("Output torque");
        var cells = await row.Locator("td").AllInnerTextsAsync();
        Assert.Equal("N·m", cells[0]);
        var (mean, u) = (Read(cells[1].Split('±')[0]), Read(cells[1].Split('±')[1]));
        Assert.Equal(inside.Average(), mean, u + 1e-3);
        Assert.Equal(inside.Min(), Read(cells[2]), Digits(inside.Min()));
        Assert.Equal(inside.Max(), Read(cells[3]), Digits(inside.Max()));
        Assert.Equal(Math.Sqrt(inside.Average(x => x * x)), Read(cells[4]), Digits(inside.Max()));
        Assert.Equal(inside.Max() - inside.Min(), Read(cells[6]), Digits(inside.Max()));

        // The fields show thousandths, the drag went between them: a sample more or less at each end.
        Assert.Equal(inside.Count, Read(cells[7]), 2);
        await Accessibility.Check(page);

        // Another channel joins the table; taking the mark away empties it.
        await page.GetByRole(AriaRole.Button, new() { Name = "Vibration" }).PressAsync("Enter");
        await Expect(figures.Locator("tbody tr")).ToHaveCountAsync(5);
        await page.GetByRole(AriaRole.Button, new() { Name = "Take the mark away" }).PressAsync("Enter");
        await Expect(figures.Locator("table")).ToHaveCountAsync(0);
    }

    // What the verdict rests on, and what is drawn over the trace once it is looked at closely.
    [Fact]
    public async Task Steady_windows_show_their_means_on_the_traces_and_in_a_table()
    {
        var page = await Traces();
        var window = line.Unit(line.Shipped).LoadTests[^1].Verdict!.Windows.First(w => w.Point == "85-60");
        var asked = await page.RunAndWaitForResponseAsync(() => page.GetByRole(AriaRole.Button, new() { Name = "85 60" }).PressAsync("Enter"), r => r.Url.Contains("/statistics?", StringComparison.Ordinal));
        Assert.Contains(FormattableString.Invariant($"from={window.FromS}"), asked.Url, StringComparison.Ordinal);
        await page.Locator("#run-1-means > summary").PressAsync("Enter");
        var row = page.Locator("#run-1-means tbody tr").Filter(new() { HasText = "85 60" });
        await Expect(row.Locator("td").Nth(2)).ToHaveTextAsync(window.Means["driveTorqueNm"].ToString("0.00", CultureInfo.InvariantCulture));
        await Accessibility.Check(page);
    }

    [Fact]
    public async Task A_stretch_is_marked_by_keyboard_alone()
    {
        var page = await Traces();
        await page.GetByRole(AriaRole.Button, new() { Name = "85 60" }).PressAsync("Enter");
        var canvas = page.Locator("canvas[data-trace]");
        await canvas.FocusAsync();
        await page.Keyboard.PressAsync("m");
        await Expect(page.Locator("[data-trace-figures] tbody tr")).ToHaveCountAsync(4);
        var shown = await Number(page, "to");
        await page.Keyboard.PressAsync("Shift+ArrowLeft");
        Assert.True(await Number(page, "to") < shown);

        await page.Locator("input[name=from]").FillAsync("20");
        await page.Locator("input[name=to]").FillAsync("21.5");
        await page.Keyboard.PressAsync("Enter");
        await Expect(page.Locator("[data-trace-figures]")).ToContainTextAsync("From 20.000 to 21.500 s, 1.500 s long");
        await canvas.FocusAsync();
        await page.Keyboard.PressAsync("Escape");
        await Expect(page.Locator("[data-trace-figures] table")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task One_turn_of_each_shaft_shows_its_band_and_says_how_many_turns()
    {
        var page = await Traces();
        var fold = page.Locator("details[data-turn]");
        await fold.Locator("> summary").PressAsync("Enter");
        var output = fold.Locator("output");
        await Expect(output).ToContainTextAsync("turns of the rotor at");
        await Expect(fold.Locator("[data-table] tbody tr")).ToHaveCountAsync(24);
        var plan = AnglePlan.Of(line.Shipped, line.Unit(line.Shipped).LoadTests[^1], AnglePlan.ShaftsOf(line.Line.Standing[0]))!;
        Assert.Equal(["rotor", "intermediate shaft", "output"], plan.Shafts);

        await fold.Locator("select[name=point]").SelectOptionAsync("85-30");
        await fold.Locator("select[name=shaft]").SelectOptionAsync(new SelectOptionValue { Label = "output" });
        await Expect(output).ToContainTextAsync("turns of the output, expected 2 whole turns at least"); // at 30 rpm it takes two seconds
        await Expect(fold.Locator("[data-table] tbody tr")).ToHaveCountAsync(0);
        await fold.Locator("select[name=shaft]").SelectOptionAsync(new SelectOptionValue { Label = "intermediate shaft" });
        await Expect(output).ToContainTextAsync("turns of the intermediate shaft at");
        await Expect(fold.Locator(".warnings")).ToContainTextAsync("Only the rotor has a mark");
        await fold.Locator("canvas").FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        await Expect(output).ToContainTextAsync("At 0°: mean");
        await fold.Locator("details > summary").PressAsync("Enter");
        await Accessibility.Check(page);
        Assert.Equal(0, await page.SidewaysScroll());
    }

    [Fact]
    public async Task Orders_over_speed_are_drawn_told_at_each_place_and_stand_in_a_table()
    {
        var page = await Traces();
        var fold = page.Locator("details[data-order-map]");
        await fold.Locator("> summary").PressAsync("Enter");
        var output = fold.Locator("output");
        await Expect(output).ToContainTextAsync("rows of the run");
        await page.WaitForFunctionAsync("""
            () => { const c = document.querySelector('canvas.map'), d = c.getContext('2d').getImageData(200, 200, 800, 300).data, seen = new Set(); for (let i = 0; i < d.length; i += 4) seen.add(d[i] + ' ' + d[i + 1] + ' ' + d[i + 2]); return seen.size > 100; }
            """);
        await fold.Locator("canvas").FocusAsync();
        await page.Keyboard.PressAsync("PageDown");
        await Expect(output).ToContainTextAsync("Order ");
        await Expect(output).ToContainTextAsync("m/s²");
        var first = await output.InnerTextAsync();
        await page.Keyboard.PressAsync("ArrowDown");
        await Expect(output).Not.ToHaveTextAsync(first);

        await fold.Locator("details > summary").PressAsync("Enter");
        await Expect(fold.Locator("[data-table]")).ToContainTextAsync("stage-1 mesh");
        var points = line.Unit(line.Shipped).LoadTests[^1].Verdict!.Windows.Count(w => w.Point is not ("no-load-110-end" or "rest")); // those have no fast window
        await Expect(fold.Locator("[data-table] thead th")).ToHaveCountAsync(2 + points);
        await fold.Locator("select[name=order]").SelectOptionAsync("time");
        await fold.Locator("select[name=channel]").SelectOptionAsync("output_torque_nm");
        await Expect(fold.Locator(".map-scale")).ToContainTextAsync("N·m");
        await Accessibility.Check(page);
        Assert.Equal(0, await page.SidewaysScroll());
    }

    [Fact]
    public async Task Another_run_is_laid_over_load_point_upon_load_point_and_a_retired_one_says_so()
    {
        var page = await Traces();
        var unit = line.Unit(line.Shipped);
        var runs = ListOtherRuns.Run(unit.Unit, unit.LoadTests[^1].Attempt, line.Line).Done!.Runs;
        Assert.DoesNotContain(runs, r => r.Unit == unit.Unit && r.Attempt == unit.LoadTests[^1].Attempt);
        var kept = runs.First(r => r.State == "kept");
        var other = page.Locator("[data-trace-other]");
        await other.FocusAsync();
        await Expect(other.Locator("option")).ToHaveCountAsync(runs.Count + 1);
        await Expect(other.Locator("option[disabled]")).ToHaveCountAsync(runs.Count(r => r.State != "kept"));
        var before = await Ink(page);

        await other.SelectOptionAsync($"{kept.Unit}/{kept.Attempt}");
        await Expect(page.Locator("[data-trace-other-word]")).ToContainTextAsync("lie upon each other");
        await page.WaitForFunctionAsync("before => document.querySelector('canvas[data-trace]').toDataURL() !== before", before);
        await page.Locator("canvas[data-trace]").FocusAsync();
        await page.Keyboard.PressAsync("m");
        await Expect(page.Locator("[data-trace-figures] tbody tr")).ToHaveCountAsync(8);
        await Expect(page.Locator("[data-trace-figures]")).ToContainTextAsync(kept.Unit);
        await Accessibility.Check(page);

        await page.SetViewportSizeAsync(390, 800);
        Assert.Equal(0, await page.SidewaysScroll());

        if (runs.FirstOrDefault(r => r.State == "retired") is { } retired)
            Assert.Equal("The captures of this run are retired.", ListOtherRuns.Traces(retired.Unit, retired.Attempt, line.Line).Refused!.Reason);
    }

    [Fact]
    public async Task The_band_of_a_lot_lies_under_the_run_its_turn_and_its_orders()
    {
        var page = await Traces();
        var unit = line.Unit(line.Shipped);
        var kinds = ListOtherRuns.Run(unit.Unit, unit.LoadTests[^1].Attempt, line.Line).Done!.Bands;
        var lot = kinds.First(k => k.Id == "rotor");
        Assert.InRange(lot.Passed, RankBand.Fewest, kinds.First(k => k.Id == "all").Passed);
        var before = await Ink(page);
        var of = page.Locator("[data-trace-band] select");
        await of.FocusAsync();
        await Expect(of.Locator("option")).ToHaveCountAsync(kinds.Count + 1);
        await Expect(of.Locator("option[value=rotor]")).ToContainTextAsync($"{lot.Word} · {lot.Passed} passed");

        await of.SelectOptionAsync("rotor");
        var word = page.Locator("[data-trace-band] [role=status]");
        await Expect(word).ToContainTextAsync($"{lot.Word}: {lot.Passed} of {lot.Passed} units that passed");
        await Expect(page.Locator("[data-trace-band] [data-stop]")).ToBeHiddenAsync();
        await page.WaitForFunctionAsync("before => document.querySelector('canvas[data-trace]').toDataURL() !== before", before);

        // Over a stretch: the edges are those of the door, whatever the picture's columns are.
        await page.Locator("input[name=from]").FillAsync("20");
        await page.Locator("input[name=to]").FillAsync("21.5");
        await page.Keyboard.PressAsync("Enter");
        var rows = page.Locator("[data-trace-figures] tbody tr");
        await Expect(rows).ToHaveCountAsync(8);
        using var cache = new RunChannelCache();
        var told = ShowBand.OverTime(unit.Unit, unit.LoadTests[^1].Attempt, new("rotor", false, ShowBand.Most), "output_torque_nm", "slow", 20, 21.5, 1, line.Line, cache, TestContext.Current.CancellationToken).Done!;
        var cells = await rows.Nth(4).Locator("td").AllInnerTextsAsync();
        Assert.Equal(told.Lower[0]!.Value, Read(cells[2]), Digits(told.Lower[0]!.Value));
        Assert.Equal(told.Upper[0]!.Value, Read(cells[3]), Digits(told.Upper[0]!.Value));
        await Expect(rows.Nth(4)).ToContainTextAsync($"{lot.Passed} runs");
        await Accessibility.Check(page);

        var turn = page.Locator("details[data-turn]");
        await turn.Locator("> summary").PressAsync("Enter");
        await Expect(turn.Locator("[data-beside]")).ToContainTextAsync($"{lot.Word}: ");
        await turn.Locator("select[name=shaft]").SelectOptionAsync(new SelectOptionValue { Label = "output" });
        await Expect(turn.Locator("[data-beside]")).ToContainTextAsync("only the rotor has a mark");
        var orders = page.Locator("details[data-order-line]");
        await orders.Locator("> summary").PressAsync("Enter");
        await Expect(orders.Locator("[data-beside]")).ToContainTextAsync($"{lot.Word}: ");
        await orders.Locator("canvas").FocusAsync();
        await page.Keyboard.PressAsync("PageDown");
        await Expect(orders.Locator("output").First).ToContainTextAsync("Other units:");
        await orders.Locator("details > summary").PressAsync("Enter");
        await Expect(orders.Locator("[data-table] thead th")).ToHaveCountAsync(6);
        await Accessibility.Check(page);
        await page.SetViewportSizeAsync(390, 800);
        Assert.Equal(0, await page.SidewaysScroll());

        // Taken away, it is gone from every picture.
        await page.SetViewportSizeAsync(1440, 900);
        await page.GetByRole(AriaRole.Button, new() { Name = "Take the mark away" }).PressAsync("Enter");
        var with = await Ink(page);
        await of.SelectOptionAsync("");
        await Expect(word).ToHaveTextAsync("");
        await Expect(orders.Locator("[data-table] thead th")).ToHaveCountAsync(3);
        await page.WaitForFunctionAsync("before => document.querySelector('canvas[data-trace]').toDataURL() !== before", with);
    }

    [Fact]
    public async Task Too_few_runs_are_said_and_make_no_band()
    {
        var unit = line.Unit(line.Shipped);
        var run = unit.LoadTests[^1];
        var few = ListOtherRuns.Run(unit.Unit, run.Attempt, line.Line).Done!.Bands.First(k => k.Id == "all");
        using var cache = new RunChannelCache();
        var said = ShowBand.OverTime(unit.Unit, run.Attempt, new("all", false, 3), "output_torque_nm", "slow", null, null, 100, line.Line, cache, TestContext.Current.CancellationToken).Refused!;
        Assert.Equal($"Only 3 runs that passed of {few.Word}: no band.", said.Reason);

        var page = await Traces();
        await page.RouteAsync("**/band?*", route => route.ContinueAsync(new() { Url = System.Text.RegularExpressions.Regex.Replace(route.Request.Url, "runs=\\d+", "runs=3") }));
        var of = page.Locator("[data-trace-band] select");
        await of.FocusAsync();
        await Expect(of.Locator("option[value=all]")).ToBeAttachedAsync();
        await of.SelectOptionAsync("all");
        await Expect(page.Locator("[data-trace-band] [role=status]")).ToContainTextAsync("Only 3 runs that passed");
    }

    [Fact]
    public async Task The_page_of_the_load_test_shows_a_run_that_is_chosen_there_and_leads_to_its_unit_and_back()
    {
        var page = await line.Open($"/load-test/af-85?find={line.Shipped}");
        await Expect(page.Locator("#load-test-runs tbody tr")).ToHaveCountAsync(1);
        await page.GetByRole(AriaRole.Link, new() { Name = $"Show the run of {line.Shipped}" }).PressAsync("Enter");
        await Expect(page.Locator("#load-test-runs tr[aria-current=true]")).ToContainTextAsync(line.Shipped);
        await page.Locator("canvas[data-trace]").ScrollIntoViewIfNeededAsync();
        await Expect(page.Locator(".trace .hint output")).ToContainTextAsync("samples a channel");
        await page.Locator("canvas[data-trace]").FocusAsync();
        await page.Keyboard.PressAsync("m");
        await Expect(page.Locator("[data-trace-figures] tbody tr")).ToHaveCountAsync(4);

        // What the load test sees comes by itself when it is worked out, and leaves the run as it is.
        await Expect(page.Locator("#load-test-sees tbody tr").First).ToBeVisibleAsync(new() { Timeout = 120_000 });
        await Expect(page.Locator("[data-trace-figures] tbody tr")).ToHaveCountAsync(4);
        await Accessibility.Check(page);
        await page.SetViewportSizeAsync(390, 800);
        Assert.Equal(0, await page.SidewaysScroll());

        await page.SetViewportSizeAsync(1440, 900);
        await page.GetByRole(AriaRole.Link, new() { Name = "Everything about the unit" }).PressAsync("Enter");
        await Expect(page.Locator("h1.code")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Link, new() { Name = "Among the runs of its product" }).First.PressAsync("Enter");
        await Expect(page.Locator("#load-test-runs tr[aria-current=true]")).ToContainTextAsync(line.Shipped);
    }

    async Task<IPage> Traces()
    {
        var page = await line.Open($"/units/{line.Shipped}");
        await page.Locator("canvas[data-trace]").ScrollIntoViewIfNeededAsync();
        await Expect(page.Locator(".trace .hint output")).ToContainTextAsync("samples a channel");
        return page;
    }

    static async Task<double> Number(IPage page, string field) => double.Parse(await page.Locator($"input[name={field}]").InputValueAsync(), CultureInfo.InvariantCulture);

    static double Read(string cell) => double.Parse(cell.Replace('−', '-').Replace("\u202f", "", StringComparison.Ordinal).Trim(), CultureInfo.InvariantCulture);

    // Four digits are shown.
    static double Digits(double value) => Math.Pow(10, Math.Floor(Math.Log10(Math.Abs(value) + 1e-9)) - 3);

    static Task<string> Ink(IPage page) => page.EvaluateAsync<string>("() => document.querySelector('canvas[data-trace]').toDataURL()");
}
