using System.Globalization;
using Roadproof.Plant.Faults;
using Roadproof.Plant.Line;

namespace Roadproof.Plant.Tests.Stations;

/// <summary>The secret list: shares against the binomial distribution at five standard deviations, spreads against the tolerances that they are drawn from.</summary>
public sealed class SecretTests
{
    const int Many = 40_000;
    static readonly IReadOnlyList<UnitTruth> Units = [.. Enumerable.Range(1, Many).Select(n => UnitTruth.Draw(11, n, Fixtures.Plan.Tolerances, FaultList.All, []))];

    [Fact]
    public void A_tenth_of_the_units_carry_a_fault() => Assert.InRange(Units.Count(u => u.Fault is not null), Expected(0.1).Lower, Expected(0.1).Upper);

    [Fact]
    public void Every_fault_is_equally_likely()
    {
        var (lower, upper) = Expected(0.1 / 15);
        Assert.Equal(15, FaultList.All.Count);
        Assert.All(FaultList.All, f => Assert.InRange(Units.Count(u => u.Fault == f), lower, upper));
    }

    [Fact]
    public void Parts_scatter_as_their_tolerances_say()
    {
        // Tolerances are three standard deviations; the standard error of a spread over n units is 1/√(2n).
        static double Spread(Func<UnitTruth, double> of) => Math.Sqrt(Units.Average(u => of(u) * of(u)) - Math.Pow(Units.Average(of), 2));
        var within = 5 / Math.Sqrt(2.0 * Many);
        Assert.InRange(Spread(u => u.Parts.FluxFactor) / (0.04 / 3), 1 - within, 1 + within);
        Assert.InRange(Spread(u => u.Parts.ResistanceFactor) / (0.05 / 3), 1 - within, 1 + within);
        Assert.InRange(Spread(u => u.Parts.AddedMotorDragNm) / (0.004 / 3), 1 - within, 1 + within);
        Assert.InRange(Spread(u => u.Parts.RotorOffsetRad) / (double.DegreesToRadians(3) / 3), 1 - within, 1 + within);
        Assert.InRange(Spread(u => u.Parts.TorqueSensorZeroNm) / (0.6 / 3), 1 - within, 1 + within);
    }

    [Fact]
    public void A_unit_is_the_same_whatever_is_drawn_before_it() => Assert.Equal(UnitTruth.Draw(11, 777, Fixtures.Plan.Tolerances, FaultList.All, []), Units[776]);

    [Fact]
    public void Faults_are_as_large_as_the_trade_says()
    {
        // Common practice, no source: flux −7.1 % for one magnet of fourteen; +2.5 N·m of a zero beside 0.6 N·m at three sigma; a leak limit of 5 beside 1.2 ± 0.4; 60 % of 5.5 N·m in a window of 1.1 N·m.
        Assert.Equal(0.0714 / (0.04 / 3), Fault("magnet-missing").SizeSigma(DemoRoute.Route)!.Value, 0.01);
        Assert.Equal(12.5, Fault("torque-sensor-zero").SizeSigma(DemoRoute.Route)!.Value, 1e-9);
        Assert.Equal(22, Fault(FaultList.Leak).SizeSigma(DemoRoute.Route)!.Value, 1e-9);
        Assert.Equal(36, Fault(FaultList.CoverScrew).SizeSigma(DemoRoute.Route)!.Value, 1e-9);
        Assert.Equal(13.0 / 14, Fault("magnet-missing").Change(new(), Fixtures.Plan).FluxFactor, 12);
        Assert.All(FaultList.All, f => Assert.True(f.SizeSigma(DemoRoute.Route) is null or > 2));
    }

    // 2.5 tolerances are 0.010 N·m for the AF-85, what a dry bearing drags (common practice, no source); a hub motor's drawing allows more, and its bad bearing drags more.
    [Fact]
    public void A_line_hides_what_its_units_can_have()
    {
        Assert.Equal(FaultList.All, FaultList.Of(DemoRoute.Route));
        Assert.Equal(0.010, Fault("motor-drag").Change(new(), Fixtures.Plan).AddedMotorDragNm, 12);

        var hub = DemoRoute.Route with { Product = new("af-40", HubFolder.Plan), Parts = [.. DemoRoute.Route.Parts.Where(p => p.Id != "gear-set-339")], Steps = [.. DemoRoute.Route.Steps.Where(s => s.Id is not ("leak-check" or "gears-in"))] };
        Assert.Equal(["torque-sensor-zero", FaultList.Leak, FaultList.CoverScrew, FaultList.WrongGear, FaultList.GreaseMissing], FaultList.All.Except(FaultList.Of(hub)).Select(f => f.Id).OrderBy(id => Array.IndexOf(["torque-sensor-zero", FaultList.Leak, FaultList.CoverScrew, FaultList.WrongGear, FaultList.GreaseMissing], id)));
        Assert.Equal(0.040, Fault("motor-drag").Change(new(), HubFolder.Plan).AddedMotorDragNm, 12);
    }

    [Fact]
    public void A_unit_carries_a_fault_of_one_kind_only()
    {
        var units = Enumerable.Range(1, Many).Select(n => UnitTruth.Draw(11, n, Fixtures.Plan.Tolerances, [.. FaultList.All.Take(2)], CheckFaults.Of("af-40"))).ToList();
        Assert.DoesNotContain(units, u => u is { Fault: not null, CheckFault: not null });
        Assert.InRange(units.Count(u => u.CheckFault is not null), Expected(0.1 / 3).Lower, Expected(0.1 / 3).Upper);
    }

    [Fact]
    public void One_demo_of_four_has_a_weak_rotor_lot_and_one_a_rig_that_drifts()
    {
        var lines = Enumerable.Range(0, 40).Select(s => LineTruth.Draw((ulong)s, 200, 3)).ToList();
        Assert.Equal(10, lines.Count(l => l.WeakRotorLot is not null));
        Assert.Equal(10, lines.Count(l => l.DriftingRig is not null));
        Assert.DoesNotContain(lines, l => l is { WeakRotorLot: not null, DriftingRig: not null });
    }

    [Fact]
    public void A_rig_drifts_only_from_its_fifteenth_run_on_and_ever_further()
    {
        var line = new LineTruth(null, 1);
        Assert.Equal(0, line.DriftShare(1, 14));
        Assert.Equal(0, line.DriftShare(0, 50));
        var shares = Enumerable.Range(15, 60).Select(r => line.DriftShare(1, r)).ToList();
        Assert.True(shares[0] > 0);
        Assert.Equal(shares.Order(), shares);
        Assert.Equal(1, shares[^1]);
    }

    [Fact]
    public void Slips_happen_as_often_as_their_rates_say()
    {
        var rates = SlipRates.Usual;
        var slips = Enumerable.Range(1, Many).Select(n => Slips.Draw(5, n, "cover", 1, rates)).ToList();
        void Holds(double rate, Func<Slips, bool> of) => Assert.InRange(slips.Count(of), Expected(rate).Lower, Expected(rate).Upper);
        Holds(rates.SentTwice, s => s.BeginTwice);
        Holds(rates.SentTwice, s => s.FinishTwice);
        Holds(rates.AnswerLost, s => s.FinishAnswerLost);
        Holds(rates.WrongUnit, s => s.WrongUnit);
        Holds(rates.WrongLot, s => s.WrongLot);
        Holds(rates.ExpiredLot, s => s.ExpiredLot);
        Holds(rates.HeldLot, s => s.HeldLot);
        Holds(rates.LooseScrew, s => s.LooseScrew);
        Holds(rates.LateReport, s => s.LateReport);
        Holds(rates.CutShort, s => s.CutShort);
        Holds(rates.SpoiledMark, s => s.SpoiledMark);
        Holds(rates.WrongPerson, s => s.WrongPerson);
        Holds(rates.LeftOver, s => s.LeftOver);
    }

    [Fact]
    public void The_guide_names_every_fault_and_every_rate()
    {
        var guide = Checkout.Read("docs/guides/demo.md");
        Assert.All(FaultList.All.Select(f => f.Id).Concat(CheckFaults.All.Select(f => f.Id)).Append(FaultList.RotorLot), f => Assert.Contains($"`{f}`", guide));

        // The words of the guide are those of the code: SentTwice stands there as "sent twice", with its rate in the same row.
        var rows = guide.Split('\n');
        var offences =
            from rate in typeof(SlipRates).GetProperties().Where(p => p.PropertyType == typeof(double))
            let words = string.Concat(rate.Name.Select((c, i) => i > 0 && char.IsUpper(c) ? $" {char.ToLowerInvariant(c)}" : $"{char.ToLowerInvariant(c)}"))
            let percent = (100 * (double)rate.GetValue(SlipRates.Usual)!).ToString("0.##", CultureInfo.InvariantCulture)
            where !rows.Any(r => r.StartsWith($"| {words} |") && r.Contains($"| {percent} % |"))
            select $"{words}: {percent} %";
        Assert.Empty(offences);
    }

    static Fault Fault(string id) => FaultList.All.First(f => f.Id == id);

    static (int Lower, int Upper) Expected(double share)
    {
        var spread = 5 * Math.Sqrt(Many * share * (1 - share));
        return ((int)Math.Floor(Many * share - spread), (int)Math.Ceiling(Many * share + spread));
    }
}
