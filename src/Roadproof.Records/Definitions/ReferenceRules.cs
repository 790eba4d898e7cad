using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.LoadTest.Rigs;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold of the reference units of a product's rigs.</summary>
static class ReferenceRules
{
    public static void Check(BoundFiles files, Findings findings)
    {
        RouteRules.CheckDistinct(files.Products.SelectMany(p => p.References?.Units ?? []), nameof(ReferenceUnit.Code), u => u.Code, "a reference unit", findings);
        foreach (var product in files.Products)
        {
            if (product.References is not { } references) continue;
            RouteRules.CheckDistinct(references.Units, nameof(ReferenceUnit.Id), u => u.Id, "a reference unit", findings);
            foreach (var unit in references.Units) RouteRules.CheckId(unit, nameof(unit.Id), unit.Id, findings);
            if (product.LoadTest is not { } plan)
            {
                if (findings.Sound(product, nameof(product.LoadTest))) findings.Wrong(product, nameof(product.References), "references without a loadTest", "references only where a load test judges");
                continue;
            }

            if (references.Units.All(u => u.Kind != ReferenceKind.Sound) && references.Units.All(u => findings.Sound(u, nameof(u.Kind))))
                findings.Wrong(references, nameof(references.Units), "no sound reference", "at least one of kind sound, which a rig must read right");
            foreach (var unit in references.Units.Where(u => findings.Sound(u, nameof(u.Kind), nameof(u.Expected)))) CheckUnit(unit, plan, findings);
            CheckStations(product, files, findings);
        }
    }

    static void CheckUnit(ReferenceUnit unit, LoadTestPlan plan, Findings findings)
    {
        if (unit.Kind == ReferenceKind.KnownBad)
        {
            if (unit.Fault.Length == 0) findings.Wrong(unit, "", "no key 'fault'", "fault of a known-bad reference: what is wrong with it");
            if (unit.Expected.Count > 0) findings.Wrong(unit, nameof(unit.Expected), "expected of a known-bad reference", "expected values of sound references only", "A known-bad one has to be stopped; nothing else is asked of it.");
            return;
        }

        var known = Characteristics.Expectations(plan).Select(c => c.Id).ToList();
        RouteRules.CheckDistinct(unit.Expected, nameof(ReferenceExpectation.Id), e => e.Id, "an expected value", findings);
        foreach (var expected in unit.Expected.Where(e => !known.Contains(e.Id)))
            findings.Wrong(expected, nameof(expected.Id), $"'{expected.Id}'", "a characteristic that is expected of units", NearestWord.Hint(expected.Id, known));
        foreach (var id in known.Where(id => unit.Expected.All(e => e.Id != id && NearestWord.To(e.Id, [id]) is null)))
            findings.Wrong(unit, nameof(unit.Expected), $"nothing for '{id}'", $"value, standardUncertainty and standardDeviation of '{id}'", "What is not expected of a reference no reference can show.");
    }

    // A rig that reads wrong is put right and calibrated: without an instrument there is nothing on record that it was.
    static void CheckStations(ProductDefinition product, BoundFiles files, Findings findings)
    {
        var loadTests = files.Routes.Where(r => r.Product == product.Id).SelectMany(r => r.Steps).Where(s => s.Kind == StepKind.LoadTest).Select(s => s.Id).ToList();
        foreach (var station in files.Plant.Lines.Where(l => l.Product == product.Id).SelectMany(l => l.Stations).Where(s => loadTests.Contains(s.Step) && s.Instruments.Count == 0 && findings.Sound(s, nameof(s.Instruments))))
            findings.Wrong(station, "", "no key 'instruments'", $"instruments of {station.Id}, because its references decide whether it may judge", "A rig that was put right is recorded as calibrated.");
    }
}
