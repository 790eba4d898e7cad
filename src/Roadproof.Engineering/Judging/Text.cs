using System.Globalization;

namespace Roadproof.Engineering.Judging;

/// <summary>Numbers as our sentences write them.</summary>
static class Text
{
    public static string Of(double value, string format = "G4") => value.ToString(format, CultureInfo.InvariantCulture);
}
