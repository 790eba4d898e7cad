using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;
using Roadproof.Engineering.Quantities;
using Roadproof.Engineering.Road;

namespace Roadproof.Engineering.CycleDesign;

/// <summary>One train while rides are counted on it. One thread at a time.</summary>
sealed class TrainOnRides
{
    readonly GearTrain train;
    readonly UnitLife life;
    readonly RoadRunner runner;
    readonly List<Counted> riders = [];
    readonly double[] warmestC;

    /// <exception cref="InputException">Teeth that cannot be.</exception>
    public TrainOnRides(GearTrain train, UnitOnRoadOptions options)
    {
        this.train = train;
        life = new(train.Unit, train.Plan);
        runner = new(train.Unit, Deviation.None, options);
        warmestC = new double[train.Unit.Gears.Count];
        Array.Fill(warmestC, double.NegativeInfinity);
    }

    public void Add(RiddenLoad ridden, CancellationToken stop)
    {
        if (riders.Find(r => r.Rider == ridden.Name) is not { } counted) riders.Add(counted = new(ridden.Name, train));
        var box = train.Transmission is { } t ? new TransmittedRide(ridden.Load, train.Unit, t) : null;
        var ran = runner.Run(box?.AtUnit ?? ridden.Load, ridden.Rider, stop);
        for (var s = 0; s < warmestC.Length; s++)
            foreach (var c in ran.WheelC[s]) warmestC[s] = Math.Max(warmestC[s], c);
        counted.Add(ran, box);
    }

    public StudiedTrain Told()
    {
        var told = riders.ConvertAll(r => r.Told(life));
        return new()
        {
            Train = train, Riders = told,
            Efficiency = riders.Sum(r => r.GivenJ) / riders.Sum(r => r.TakenJ),
            MassKg = DiscMass.MassKg(train),
            Meshes = [.. train.Unit.Gears.Select((_, s) => MeshFacts.Of(train, s + 1, warmestC[s]))],
            Orders = TrainOrder.Of(train.Unit), Hunting = HuntingTooth.Of(train.Unit), RatedPoints = RatedPoint.Of(train),
        };
    }

    /// <summary>One rider's rides.</summary>
    sealed class Counted(string rider, GearTrain train)
    {
        readonly LoadSpectrum atUnit = new(train.Unit);
        readonly BehindBox? behind = train.Transmission is { } box ? new(train, box) : null;
        int heldBack, shifts;

        public string Rider => rider;
        public double GivenJ { get; private set; }
        public double TakenJ { get; private set; }

        public void Add(UnitOnRoad ran, TransmittedRide? through)
        {
            GivenJ += through?.GivenJ(ran) ?? ran.MotorEnergyJ;
            TakenJ += ran.MotorEnergyJ + ran.LossEnergyJ;
            heldBack += ran.SecondsDerated + ran.SecondsAtLimit;
            atUnit.Add(through?.InFront(ran) ?? ran);
            if (through is null) return;
            shifts += through.Shifts;
            behind!.Add(ran, through);
        }

        public RiderOnTrain Told(UnitLife life)
        {
            var elements = behind is null ? life.Of(atUnit) : behind.Elements(life.Of(atUnit));
            return new(rider, elements, atUnit.DistanceM, GivenJ / TakenJ, atUnit.PeakWindingC, heldBack, behind?.Gears() ?? [], shifts);
        }
    }

    /// <summary>What turns and bends behind a transmission: the chainring's own bearings, axle and shell.</summary>
    sealed class BehindBox
    {
        readonly GearTrain train;
        readonly ShiftingTransmission box;
        readonly DriveUnit unit;
        readonly LoadSpectrum all;
        readonly LoadSpectrum[] inGear;

        public BehindBox(GearTrain train, ShiftingTransmission box)
        {
            (this.train, this.box) = (train, box);
            // Classes of torque reach as far as the box multiplies.
            var most = Math.Max(1, box.Gears.Max(g => g.Ratio * g.Efficiency));
            unit = train.Unit with { Rating = train.Unit.Rating with { MaximumTorqueNm = most * train.Unit.Rating.MaximumTorqueNm } };
            all = new(unit);
            inGear = [.. box.Gears.Select(_ => new LoadSpectrum(unit))];
        }

        public void Add(UnitOnRoad ran, TransmittedRide through)
        {
            var behind = through.Behind(ran, unit);
            all.Add(behind);
            for (var g = 0; g < inGear.Length; g++) inGear[g].Add(through.Only(g, behind));
        }

        /// <summary>Those in front of the box as they are, those behind it as they are loaded there.</summary>
        public IReadOnlyList<ElementLife> Elements(IReadOnlyList<ElementLife> inFront)
        {
            var bent = new UnitLife(train.Unit, train.Plan).Of(all).Where(e => e.Ending == Ending.Bending).ToDictionary(e => e.Id, StringComparer.Ordinal);
            var turned = OutputBearings();
            return [.. inFront.Select(e => bent.GetValueOrDefault(e.Id) ?? turned.GetValueOrDefault(e.Id) ?? e).OrderByDescending(e => e.Damage)];
        }

        /// <summary>In each gear the last mesh presses with another force for the same torque at the chainring; damages add up.</summary>
        Dictionary<string, ElementLife> OutputBearings()
        {
            var stages = train.Unit.Gears.Count;
            var plan = train.Plan with { Bearings = [.. train.Plan.Bearings.Where(b => b.Shaft == stages)], Ageing = [], Bent = [], Clutch = null };
            return box.Gears
                .SelectMany((gear, g) => new UnitLife(train.Unit with { Gears = [.. train.Unit.Gears.Select((s, i) => i == stages - 1 ? s with { MeshEfficiency = s.MeshEfficiency * gear.Ratio * gear.Efficiency } : s)] }, plan).Of(inGear[g]))
                .Where(e => e.Ending == Ending.Bearing)
                .GroupBy(e => e.Id, StringComparer.Ordinal)
                .ToDictionary(e => e.Key, e => e.First() with
                {
                    Damage = e.Sum(one => one.Damage), DistanceM = all.DistanceM, Bearing = BearingLoad.Together(e.Select(one => one.Bearing)),
                    // The same unknown load in every gear: edges add up as the middle does.
                    DamageInterval = new(e.Sum(one => one.DamageInterval.Lower), e.Sum(one => one.DamageInterval.Upper), e.First().DamageInterval.Confidence),
                }, StringComparer.Ordinal);
        }

        public IReadOnlyList<GearUse> Gears()
        {
            var turns = inGear.Sum(s => s.OutputTurns);
            return [.. box.Gears.Select((gear, g) =>
            {
                var driven = inGear[g].TurnsAtTorques().Where(t => t.MotorNm > 0).ToList();
                var drivenTurns = driven.Sum(t => t.Turns);
                return new GearUse(g + 1, gear.Ratio, turns > 0 ? inGear[g].OutputTurns / turns : 0, drivenTurns > 0 ? driven.Sum(t => t.MotorNm * t.Turns) / drivenTurns : null);
            })];
        }
    }
}
