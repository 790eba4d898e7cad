using Roadproof.Engineering.Quantities;
using Roadproof.Plant.Faults;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Demo;

/// <summary>What the simulated plant has to find in the definitions that it works by, so that each of its faults can show.</summary>
static class DemoNeeds
{
    public const string GreaseMass = "grease-mass", Cover = "cover", GearSet = "gear-set";

    /// <param name="folder">The folder that the definitions were read from.</param>
    /// <exception cref="InputException">Everything that is missing.</exception>
    public static void Require(string folder, IReadOnlyList<RouteRevision> lines)
    {
        if (lines.FirstOrDefault(r => r.Product.LoadTest is not null) is not { } revision)
            throw new InputException(new InputError(folder, 0, "products", "no product with a load test", "a drive unit for the demo line to build", "roadproof serve serves your own products."));

        var errors = new List<InputError>();
        void Need(bool there, string path, string found, string expected)
        {
            if (!there) errors.Add(new(folder, 0, path, found, expected, "The demo plant hides faults of its own kinds; roadproof serve serves your own product."));
        }

        var readings = revision.Steps.SelectMany(s => s.Readings).ToLookup(r => r.Id, StringComparer.Ordinal);
        Need(readings[FaultList.Leak].Any(r => r.Upper is not null), "steps.readings", $"no reading '{FaultList.Leak}' with an upper limit", "one, for the demo's leaking units");
        Need(readings[GreaseMass].Any(r => r.Lower is not null), "steps.readings", $"no reading '{GreaseMass}' with a lower limit", "one, for the demo's units without grease");
        Need(revision.Steps.SelectMany(s => s.Screws).Any(g => g.Id == Cover), "steps.screws", $"no screw group '{Cover}'", "one, for the demo's loose screws");
        Need(revision.Steps.SelectMany(s => s.Parts).Any(p => p.Part == GearSet), "steps.parts", $"no part '{GearSet}'", "one, with another variant among the parts, for the demo's wrong gears");
        if (errors.Count > 0) throw new InputException(errors);
    }
}
