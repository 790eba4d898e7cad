namespace Roadproof.Engineering.Road;

/// <summary>An ellipsoid of revolution that stands for the earth.</summary>
public readonly record struct Ellipsoid(double EquatorialRadiusM, double InverseFlattening)
{
    /// <summary>World Geodetic System 1984: what satellite receivers report in.</summary>
    public static readonly Ellipsoid Wgs84 = new(6378137, 298.257223563);

    public double Flattening => 1 / InverseFlattening;

    public double PolarRadiusM => EquatorialRadiusM * (1 - Flattening);
}

/// <summary>The shortest way over the earth between two positions.</summary>
public static class Geodesic
{
    const int MostRounds = 200;

    /// <summary>Steps that differ by less than this in latitude and longitude, away from the poles, are short: about 200 m.</summary>
    const double ShortDeg = 0.002;
    const double FarNorthDeg = 75;
    const double RadPerDeg = Math.PI / 180;

    /// <summary>Length in metres of the shortest way on WGS-84 at elevation zero.</summary>
    /// <param name="fromLatitudeDeg">North positive, −90 to 90.</param>
    /// <param name="fromLongitudeDeg">East positive, any turn.</param>
    /// <param name="toLatitudeDeg">As above.</param>
    /// <param name="toLongitudeDeg">As above.</param>
    /// <remarks>
    /// Better than 0.5 mm up to 20,000 km. Near the opposite point of the earth the iteration does not settle; there the way is cut where it
    /// crosses the great circle half-way and the shortest sum is sought, which holds the same accuracy at 200 times the cost.
    /// Source: T. Vincenty, Survey Review XXIII (176), 1975, inverse formula (from memory).
    /// </remarks>
    public static double DistanceM(double fromLatitudeDeg, double fromLongitudeDeg, double toLatitudeDeg, double toLongitudeDeg) =>
        DistanceM(Ellipsoid.Wgs84, fromLatitudeDeg, fromLongitudeDeg, toLatitudeDeg, toLongitudeDeg);

    /// <summary>As <see cref="DistanceM(double, double, double, double)"/> to two micrometres, without iteration for steps of a ride.</summary>
    /// <remarks>
    /// A short step is the hypotenuse of its way north, with the meridian's radius of curvature at the middle latitude, and its way east, with that of the prime
    /// vertical (textbook of geodesy, from memory). What is left out is of the order of the step's cube over the square of the earth's radius.
    /// </remarks>
    public static double StepM(double fromLatitudeDeg, double fromLongitudeDeg, double toLatitudeDeg, double toLongitudeDeg)
    {
        var (northDeg, eastDeg) = (toLatitudeDeg - fromLatitudeDeg, toLongitudeDeg - fromLongitudeDeg);
        var middleDeg = fromLatitudeDeg + (northDeg / 2);
        if (!(Math.Abs(northDeg) < ShortDeg && Math.Abs(eastDeg) < ShortDeg && Math.Abs(middleDeg) < FarNorthDeg))
            return DistanceM(fromLatitudeDeg, fromLongitudeDeg, toLatitudeDeg, toLongitudeDeg);

        const double f = 1 / 298.257223563, e2 = f * (2 - f);
        var (sin, cos) = Math.SinCos(middleDeg * RadPerDeg);
        var w2 = 1 - (e2 * sin * sin);
        var primeVerticalM = Ellipsoid.Wgs84.EquatorialRadiusM / Math.Sqrt(w2);
        var northM = primeVerticalM * (1 - e2) / w2 * northDeg * RadPerDeg;
        var eastM = primeVerticalM * cos * eastDeg * RadPerDeg;
        return Math.Sqrt((northM * northM) + (eastM * eastM));
    }

    /// <summary>As above on another ellipsoid.</summary>
    public static double DistanceM(Ellipsoid earth, double fromLatitudeDeg, double fromLongitudeDeg, double toLatitudeDeg, double toLongitudeDeg)
    {
        var fromRad = fromLatitudeDeg * RadPerDeg;
        var toRad = toLatitudeDeg * RadPerDeg;
        var eastRad = Math.IEEERemainder(toLongitudeDeg - fromLongitudeDeg, 360) * RadPerDeg;
        return VincentyM(earth, fromRad, toRad, eastRad) ?? ByTheHalfWayCircleM(earth, fromRad, toRad, eastRad);
    }

    /// <returns>Null where the iteration does not settle.</returns>
    static double? VincentyM(Ellipsoid earth, double fromRad, double toRad, double eastRad)
    {
        var f = earth.Flattening;
        var (sinU1, cosU1) = Math.SinCos(Math.Atan((1 - f) * Math.Tan(fromRad)));
        var (sinU2, cosU2) = Math.SinCos(Math.Atan((1 - f) * Math.Tan(toRad)));

        var lambda = eastRad;
        for (var round = 0; round < MostRounds; round++)
        {
            var (sinLambda, cosLambda) = Math.SinCos(lambda);
            var across = cosU2 * sinLambda;
            var along = (cosU1 * sinU2) - (sinU1 * cosU2 * cosLambda);
            var sinSigma = Math.Sqrt((across * across) + (along * along));
            if (sinSigma == 0) return lambda == 0 ? 0 : null;
            var cosSigma = (sinU1 * sinU2) + (cosU1 * cosU2 * cosLambda);
            var sigma = Math.Atan2(sinSigma, cosSigma);
            var sinAlpha = cosU1 * cosU2 * sinLambda / sinSigma;
            var cos2Alpha = 1 - (sinAlpha * sinAlpha);

            // Along the equator cos²α is 0 and the middle of the line has no latitude to speak of.
            var cos2SigmaM = cos2Alpha > 1e-15 ? cosSigma - (2 * sinU1 * sinU2 / cos2Alpha) : 0;
            var c = f / 16 * cos2Alpha * (4 + (f * (4 - (3 * cos2Alpha))));
            var before = lambda;
            lambda = eastRad + ((1 - c) * f * sinAlpha
                * (sigma + (c * sinSigma * (cos2SigmaM + (c * cosSigma * (-1 + (2 * cos2SigmaM * cos2SigmaM)))))));
            if (Math.Abs(lambda) > Math.PI) return null;
            if (Math.Abs(lambda - before) > 1e-13) continue;

            var ratio = earth.EquatorialRadiusM / earth.PolarRadiusM;
            var u2 = cos2Alpha * ((ratio * ratio) - 1);
            var a = 1 + (u2 / 16384 * (4096 + (u2 * (-768 + (u2 * (320 - (175 * u2)))))));
            var b = u2 / 1024 * (256 + (u2 * (-128 + (u2 * (74 - (47 * u2))))));
            var m2 = cos2SigmaM * cos2SigmaM;
            var correction = b * sinSigma * (cos2SigmaM + (b / 4 * ((cosSigma * (-1 + (2 * m2)))
                - (b / 6 * cos2SigmaM * (-3 + (4 * sinSigma * sinSigma)) * (-3 + (4 * m2))))));
            return earth.PolarRadiusM * a * (sigma - correction);
        }

        return null;
    }

    /// <summary>
    /// Every way between two nearly opposite points crosses the circle that lies a quarter of the earth away from the first. The shortest way is
    /// the least of (first to a point of the circle) + (that point to the second); both parts are far from opposite and Vincenty settles.
    /// </summary>
    static double ByTheHalfWayCircleM(Ellipsoid earth, double fromRad, double toRad, double eastRad)
    {
        const int first = 72;
        var step = 2 * Math.PI / first;
        var best = Enumerable.Range(0, first).MinBy(i => ViaM(i * step)) * step;
        var (low, high) = (best - step, best + step);
        for (var round = 0; round < 80; round++)
        {
            var third = (high - low) / 3;
            if (ViaM(low + third) < ViaM(high - third)) high -= third;
            else low += third;
        }

        return ViaM((low + high) / 2);

        double ViaM(double aroundRad)
        {
            var (sinAround, cosAround) = Math.SinCos(aroundRad);

            // The point a quarter turn from (fromRad, 0) in the direction aroundRad from north.
            var latitude = Math.Asin(Math.Cos(fromRad) * cosAround);
            var east = Math.Atan2(sinAround, -Math.Sin(fromRad) * cosAround);
            return (VincentyM(earth, fromRad, latitude, east) ?? double.PositiveInfinity)
                + (VincentyM(earth, latitude, toRad, Math.IEEERemainder(eastRad - east, 2 * Math.PI)) ?? double.PositiveInfinity);
        }
    }
}
