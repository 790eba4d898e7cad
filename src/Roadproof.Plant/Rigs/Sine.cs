namespace Roadproof.Plant.Rigs;

/// <summary>Sine and cosine of an angle in turns, to 1e-9: made of additions and multiplications only, so every machine gives the same bits.</summary>
/// <remarks>Taylor series of sin(2πx) to the 15th power on a quarter turn; the first term left out is below 1e-11.</remarks>
static class Sine
{
    public static double OfTurns(double turns)
    {
        var x = turns - Math.Round(turns);
        if (x > 0.25) x = 0.5 - x;
        else if (x < -0.25) x = -0.5 - x;
        var y = x * Math.Tau;
        var s = y * y;
        return y * (1 + s * (-1.0 / 6 + s * (1.0 / 120 + s * (-1.0 / 5040 + s * (1.0 / 362880 + s * (-1.0 / 39916800
            + s * (1.0 / 6227020800 - s / 1307674368000)))))));
    }

    public static double CosineOfTurns(double turns) => OfTurns(turns + 0.25);
}
