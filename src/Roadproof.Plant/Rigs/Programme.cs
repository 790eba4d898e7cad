using System.Globalization;
using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Quantities;

namespace Roadproof.Plant.Rigs;

/// <summary>What the rig gives and asks at one moment.</summary>
/// <param name="TorqueNm">Drive torque asked for at the output.</param>
/// <param name="WheelRadPerS">As the rig's wheel channel says; a unit that sits in its wheel turns as its output does, whatever stands here.</param>
/// <param name="CrankTorqueNm">Mean of the crank drive's torque, before its pulsation.</param>
/// <param name="Service">Load points: neither pedals nor road speed count, the controller does as asked.</param>
readonly record struct Demand(
    double OutputRadPerS, double TorqueNm, double CrankTorqueNm, double CrankRadPerS, double WheelRadPerS,
    bool Pedalling, bool Brake, bool WalkAssist, bool Service);

/// <summary>The rig's programme over the whole run: load points, then the block of function tests. A pure function of time.</summary>
/// <remarks>Speeds change over 0.6 s, torques over 0.4 s after a point's start.</remarks>
sealed class Programme
{
    const double SpeedRampS = 0.6, TorqueRampS = 0.4;

    // Walk assistance: pushed at a walk in the lowest gear, where chainring and wheel turn alike.
    const double WalkHeldForS = 2.2, WalkTorqueNm = 12, WalkRiseS = 0.4;
    const double ServiceMps = 18 / 3.6, RidingMps = 20 / 3.6, SweepFromMps = 22 / 3.6, SweepToMps = 28 / 3.6, SweepFromS = 0.5, SweepForS = 4;
    const double TorqueOfMaximum = 1.3;

    readonly List<(double FromS, Func<double, Demand> At)> _pieces = [];
    int _at;

    public Programme(LoadTestPlan plan, UnitCharacter unit)
    {
        var cycle = plan.Cycle;
        var startS = 0.0;
        var (fromRadPerS, fromNm) = (0.0, 0.0);
        foreach (var point in cycle.Points)
        {
            _pieces.Add((startS, LoadPointFrom(fromRadPerS, fromNm, point, plan)));
            (fromRadPerS, fromNm) = (point.SpeedRadPerS, point.TorqueNm);
            startS += point.HoldS;
        }

        var ratedRadPerS = plan.Unit.Rating.RatedOutputRpm * ReferenceConditions.RadPerSPerRpm;
        var ratedNm = plan.Unit.Rating.ContinuousOutputW / ratedRadPerS;
        foreach (var test in cycle.Functions)
        {
            var at = FunctionFrom(fromRadPerS, test, ratedRadPerS, ratedNm, plan, unit);
            _pieces.Add((startS, at));
            fromRadPerS = test.Kind == FunctionTestKind.WalkAssist ? 0 : at(test.HoldS).OutputRadPerS;
            startS += test.HoldS;
        }
    }

    /// <summary>Asked in the order of time.</summary>
    public Demand At(double timeS)
    {
        while (_at + 1 < _pieces.Count && timeS >= _pieces[_at + 1].FromS) _at++;
        return _pieces[_at].At(timeS - _pieces[_at].FromS);
    }

    static Func<double, Demand> LoadPointFrom(double fromRadPerS, double fromNm, LoadPoint point, LoadTestPlan plan) => afterS =>
    {
        var crankNm = plan.Cycle.CrankTorqueNm;
        var speedRadPerS = Ramp(fromRadPerS, point.SpeedRadPerS, afterS, SpeedRampS);
        var torqueNm = Ramp(fromNm, point.TorqueNm, afterS, TorqueRampS);
        var pedalNm = Ramp(fromNm > 0 ? crankNm : 0, point.TorqueNm > 0 ? crankNm : 0, afterS, TorqueRampS);
        var wheelRadPerS = speedRadPerS > 0 ? ServiceMps / plan.WheelRadiusM : 0;
        return new(speedRadPerS, torqueNm, pedalNm, speedRadPerS, wheelRadPerS, Pedalling: speedRadPerS > 0, Brake: false, WalkAssist: false, Service: true);
    };

    static Func<double, Demand> FunctionFrom(
        double fromRadPerS, FunctionTest test, double ratedRadPerS, double ratedNm, LoadTestPlan plan, UnitCharacter unit)
    {
        var (eventS, crankNm, wheelRadiusM) = (test.EventAtS, plan.Cycle.CrankTorqueNm, plan.WheelRadiusM);
        var heldRadPerS = test.OutputRpm * ReferenceConditions.RadPerSPerRpm ?? ratedRadPerS;
        Demand Riding(double afterS) => Turning(afterS, heldRadPerS, RidingMps);
        Demand Sweeping(double afterS, double wheelMps) => Turning(afterS, plan.Unit.SitsInWheel ? wheelMps / wheelRadiusM : heldRadPerS, wheelMps);
        Demand Turning(double afterS, double toRadPerS, double wheelMps)
        {
            var speedRadPerS = Ramp(fromRadPerS, toRadPerS, afterS, SpeedRampS);
            return new(speedRadPerS, Ramp(0, ratedNm, afterS, TorqueRampS), Ramp(0, crankNm, afterS, TorqueRampS), speedRadPerS, wheelMps / wheelRadiusM,
                Pedalling: true, Brake: false, WalkAssist: false, Service: false);
        }

        if (test.Kind == FunctionTestKind.WalkAssist && eventS + WalkHeldForS + 1 > test.HoldS)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"Walk assistance is held for {WalkHeldForS} s from its event at {eventS} s; a hold of {test.HoldS} s leaves no second for the release."), nameof(test));

        return test.Kind switch
        {
            FunctionTestKind.StopPedalling => afterS =>
            {
                var riding = Riding(afterS);
                return afterS < eventS
                    ? riding
                    : riding with { Pedalling = false, CrankTorqueNm = Ramp(crankNm, 0, afterS - eventS, 0.02), CrankRadPerS = Ramp(heldRadPerS, 0, afterS - eventS, 0.03) };
            },
            FunctionTestKind.Brake => afterS => Riding(afterS) with { Brake = afterS >= eventS },
            FunctionTestKind.CutOff => afterS =>
                Sweeping(afterS, SweepFromMps + (SweepToMps - SweepFromMps) * Math.Clamp((afterS - SweepFromS) / SweepForS, 0, 1)),
            FunctionTestKind.WalkAssist => afterS =>
            {
                var heldS = afterS - eventS;
                var rolling = heldS < 0
                    ? Ramp(fromRadPerS, 0, afterS, 0.6 * eventS)
                    : unit.WalkMps / wheelRadiusM * (heldS < WalkHeldForS
                        ? 1 - Math.Exp(-heldS / WalkRiseS)
                        : (1 - Math.Exp(-WalkHeldForS / WalkRiseS)) * Math.Exp(-(heldS - WalkHeldForS) / WalkRiseS));
                return new(rolling, heldS < 0 ? 0 : WalkTorqueNm, 0, 0, rolling, Pedalling: false, Brake: false, WalkAssist: heldS is >= 0 and < WalkHeldForS, Service: false);
            },
            FunctionTestKind.CurrentLimit => afterS => Riding(afterS) with
            {
                TorqueNm = afterS < eventS
                    ? Ramp(0, ratedNm, afterS, TorqueRampS)
                    : Ramp(ratedNm, TorqueOfMaximum * plan.Unit.Rating.MaximumTorqueNm, afterS - eventS, 0.1),
            },
            FunctionTestKind.Quiescent => afterS =>
                new(Ramp(fromRadPerS, 0, afterS, SpeedRampS), 0, 0, 0, 0, Pedalling: false, Brake: false, WalkAssist: false, Service: false),
            // A foot stands on a pedal that does not turn; the brake is let go at the event.
            FunctionTestKind.SelfStart => afterS =>
            {
                var slowingRadPerS = Ramp(fromRadPerS, 0, afterS, SpeedRampS);
                return new(slowingRadPerS, ratedNm, Ramp(0, crankNm, afterS, TorqueRampS), slowingRadPerS, 0, Pedalling: false, Brake: afterS < eventS, WalkAssist: false, Service: false);
            },
            _ => throw new InvalidOperationException($"Bug in Roadproof: the simulated rig has no programme for {test.Kind}."),
        };
    }

    static double Ramp(double from, double to, double afterS, double overS)
    {
        var share = Math.Clamp(afterS / overS, 0, 1);
        return from + (to - from) * share * share * (3 - 2 * share);
    }
}
