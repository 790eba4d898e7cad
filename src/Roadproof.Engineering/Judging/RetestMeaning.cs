namespace Roadproof.Engineering.Judging;

/// <summary>What a pass at a retest would be worth, said before it is run: at the distance from the limit at which this unit was read.</summary>
/// <remarks>
/// Of a requirement the risks speak of a unit that truly lies as far outside as this one was read, and of one as far inside. Of an expectation limit (<see cref="Statistic"/>) they speak of a unit that has the fault as it was found, and of a sound
/// one: bad is a true value where the statistic was read, of which a run draws anew what it draws anew of the reading; good is any sound unit, of whose scatter a run draws anew its own noise only and never the parts.
/// </remarks>
/// <param name="Reading">Id of the reading that lies farthest beyond its limit.</param>
/// <param name="DistanceU">How far the reading lies from its edge, in its standard uncertainties; of a unit that truly lies so far outside, and of one as far inside, the risks speak.</param>
/// <param name="IsBeyond">It lies beyond the edge; else inside, within the guard band.</param>
/// <param name="RedrawnShare">Share of the uncertainty's variance that another run on the same rig draws anew; null where nobody has split it up, and then all of it is taken to be.</param>
/// <param name="RedrawnElsewhere">The same on another rig, whose own error is another.</param>
/// <param name="Once">One test decides.</param>
/// <param name="Free">A plain second chance, which no rule here gives after a fail.</param>
/// <param name="ByRule">By the rule of the step, on the same rig.</param>
/// <param name="Elsewhere">By the rule, on another rig; null where nobody has split the uncertainty up.</param>
public sealed record RetestMeaning(
    string Reading, string Name, double DistanceU, bool IsBeyond, double GuardFactor, double? RedrawnShare, double? RedrawnElsewhere,
    RetestRisk Once, RetestRisk Free, RetestRisk ByRule, RetestRisk? Elsewhere)
{
    /// <summary>The statistic that stopped the unit where an expectation limit did; null where a requirement did.</summary>
    public StopStatistic? Statistic { get; init; }

    /// <summary>Of what scatters sound units in that statistic the share that another run on the same rig draws anew; null for a requirement, and where nobody has split it up.</summary>
    public double? SoundRedrawnShare { get; init; }

    /// <summary>Below this another run on the same rig reads much what the first one read (chosen here, no source).</summary>
    public const double LittleAnew = 0.25;

    /// <summary>Read so far beyond its edge that a single test tells units there from units as far inside: more than 99 in 100 of either.</summary>
    public bool IsFarOut => IsBeyond && Once is { PassIfBad: < 0.005, PassIfGood: > 0.995 };

    /// <param name="rule">With a retest at least.</param>
    /// <param name="hasFailed">Something failed; after a run in which all was undecided at worst one pass is enough.</param>
    /// <returns>Null where the reading has no uncertainty: there is nothing to be drawn anew.</returns>
    public static RetestMeaning? Of(RequirementReading reading, RetestRule rule, bool hasFailed)
    {
        if (reading.StandardUncertainty <= 0) return null;
        var (distanceU, guard) = (Math.Abs(reading.BeyondU()), reading.GuardBand / reading.StandardUncertainty);
        var (same, other) = (reading.RedrawnShare(onAnotherRig: false), reading.RedrawnShare(onAnotherRig: true));
        var scheme = hasFailed || rule.Scheme == RetestScheme.Mean ? rule.Scheme : RetestScheme.Free;
        RetestRisk By(RetestScheme s, double? share) => RetestRisk.Of(distanceU, s, share ?? 1, guard, s == RetestScheme.Mean ? 1 : rule.AtMost);
        return new(reading.Id, reading.Name, distanceU, reading.BeyondU() > 0, guard, same, other,
            By(RetestScheme.Single, same), By(RetestScheme.Free, same), By(scheme, same), other is null ? null : By(scheme, other));
    }

    /// <summary>The same for what an expectation limit stopped.</summary>
    /// <param name="rule">With a retest at least. In the scheme of the mean expectations are not averaged: one run that was unusual holds the unit, so that a single test decides.</param>
    /// <returns>Null where the statistic has no uncertainty.</returns>
    public static RetestMeaning? Of(StopStatistic statistic, RetestRule rule)
    {
        if (statistic.Spread is not { ReadingU: > 0, SoundSd: > 0 }) return null;
        var scheme = rule.Scheme == RetestScheme.Mean ? RetestScheme.Single : rule.Scheme;
        RetestRisk By(RetestScheme s, bool elsewhere) => new(
            RetestRisk.Of(statistic.BeyondU(), s, statistic.RedrawnShare(elsewhere) ?? 1, retests: rule.AtMost).PassIfBad,
            RetestRisk.Of(statistic.SoundInside(), s, statistic.SoundRedrawnShare(elsewhere) ?? 1, retests: rule.AtMost).PassIfGood);
        var other = statistic.RedrawnShare(onAnotherRig: true);
        return new(statistic.Id, statistic.Name, statistic.BeyondU(), true, 0, statistic.RedrawnShare(onAnotherRig: false), other,
            By(RetestScheme.Single, false), By(RetestScheme.Free, false), By(scheme, false), other is null ? null : By(scheme, true))
        {
            Statistic = statistic,
            SoundRedrawnShare = statistic.SoundRedrawnShare(onAnotherRig: false),
        };
    }
}
