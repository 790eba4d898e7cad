using Roadproof.Engineering.Signals;

namespace Roadproof.Engineering.Checks;

/// <summary>How the three phases are joined.</summary>
public enum WindingConnection
{
    Star,
    Delta,
}

/// <summary>What a winding's readings are judged by, and how they were taken.</summary>
public sealed record WindingTest
{
    /// <summary>By feature id (<see cref="WindingVerdict"/>).</summary>
    public IReadOnlyDictionary<string, FeatureWindow> Limits { get; init; } = new Dictionary<string, FeatureWindow>();
    public WindingConnection Connection { get; init; } = WindingConnection.Star;

    /// <summary>Leads and contacts in series with each pair, Ω: two-wire measuring takes them off with their uncertainty, four-wire measuring has none.</summary>
    public Reading LeadOhm { get; init; } = new(0, 0);

    /// <summary>Scatter of a two-wire contact from pair to pair, Ω; 0 for four wires.</summary>
    public double ContactOhm { get; init; }

    /// <summary>Standard uncertainty of the resistance meter: share, and of a single reading in Ω.</summary>
    public double ResistanceShare { get; init; } = 0.001;
    public double ResistanceStepOhm { get; init; } = 20e-6;

    /// <summary>Standard uncertainty of the inductance meter: share common to the pairs, and share of a single reading.</summary>
    public double InductanceShare { get; init; } = 0.005;
    public double InductanceSingleShare { get; init; } = 0.002;

    /// <summary>Standard uncertainty of the winding's temperature, K. A part from the oven is not at room temperature.</summary>
    public double TemperatureK { get; init; } = 0.5;

    /// <summary>(Lq − Ld)/(Lq + Ld) of a machine measured with its rotor in; null without. A pair's inductance then follows the rotor's place.</summary>
    public double? RotorSaliency { get; init; }

    /// <summary>Standard uncertainty of the insulation meter, as a share, and of the ratio of two of its readings.</summary>
    public double InsulationShare { get; init; } = 0.05;
    public double InsulationRatioShare { get; init; } = 0.02;
}

/// <summary>One reading for each pair of terminals.</summary>
public readonly record struct Pairs(double Uv, double Vw, double Wu)
{
    public double Mean => (Uv + Vw + Wu) / 3;
    public double Range => Math.Max(Uv, Math.Max(Vw, Wu)) - Math.Min(Uv, Math.Min(Vw, Wu));

    public Pairs Each(Func<double, double> of) => new(of(Uv), of(Vw), of(Wu));

    /// <summary>Resistances of the phases U, V, W of a star, or of the sides UV, VW, WU of a delta.</summary>
    /// <remarks>Star: half the sum of the pairs that hold the phase less the third. Delta: the star's equivalent turned (Kennelly's transformation, textbook). Source: Kirchhoff.</remarks>
    public Pairs Phases(WindingConnection connection)
    {
        var (u, v, w) = ((Uv + Wu - Vw) / 2, (Uv + Vw - Wu) / 2, (Vw + Wu - Uv) / 2);
        if (connection == WindingConnection.Star) return new(u, v, w);
        var products = u * v + v * w + w * u;
        return new(products / w, products / u, products / v);
    }
}

/// <summary>What was read at a winding; what was not is null. Repeated readings stand side by side.</summary>
public sealed record WindingReadings
{
    public IReadOnlyList<Pairs>? ResistanceOhm { get; init; }
    public IReadOnlyList<Pairs>? InductanceH { get; init; }
    public double? InsulationOhm { get; init; }
    public double? SensorC { get; init; }

    /// <summary>Of the winding, by the station's thermometer.</summary>
    public required double? WindingC { get; init; }
}
