namespace Roadproof.Engineering.Road;

/// <summary>Where a way leads in each second of a ride.</summary>
static class Heading
{
    /// <summary>Positions wander by metres: a direction is told over at least so much of the way, m.</summary>
    const double OverM = 20;

    /// <summary>Directions from north over east, radians, shape [seconds]: of the straight line between the fixes around a second that lie far enough apart along the way, in its piece of the recording.</summary>
    /// <returns>Null where the way has no positions.</returns>
    public static double[]? Of(RidePath path, RideSeconds seconds)
    {
        if (!path.ByPosition) return null;
        var headingRad = new double[seconds.Count];
        var fixes = path.FixSpan;
        var pieces = path.PieceSpan;
        var alongM = path.DistanceM;
        var fix = 0;
        for (var i = 0; i < headingRad.Length; i++)
        {
            // Seconds and fixes run on in time together; a fix without a time is passed over.
            while (fix + 1 < fixes.Length && !(fixes[fix + 1].TimeS > seconds.TimeS[i])) fix++;
            var (from, to) = (fix, fix);
            while (alongM[to] - alongM[from] < OverM)
            {
                var (back, on) = (from > 0 && pieces[from - 1] == pieces[fix], to + 1 < fixes.Length && pieces[to + 1] == pieces[fix]);
                if (!back && !on) break;
                if (back) from--;
                if (on) to++;
            }

            headingRad[i] = Between(fixes[from].LatitudeDeg, fixes[from].LongitudeDeg, fixes[to].LatitudeDeg, fixes[to].LongitudeDeg);
        }

        return headingRad;
    }

    /// <summary>On a plane that touches the earth between both: right for steps of a ride.</summary>
    internal static double Between(double fromLatitudeDeg, double fromLongitudeDeg, double toLatitudeDeg, double toLongitudeDeg)
    {
        var eastDeg = Math.IEEERemainder(toLongitudeDeg - fromLongitudeDeg, 360) * Math.Cos((fromLatitudeDeg + toLatitudeDeg) / 2 * Math.PI / 180);
        return Math.Atan2(eastDeg, toLatitudeDeg - fromLatitudeDeg);
    }
}
