using System.Globalization;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Life;

namespace Roadproof.Records.Definitions;

/// <summary>What must hold inside the figures that a product's life is computed from.</summary>
static class LifeRules
{
    public static void Check(ProductDefinition product, Findings findings)
    {
        if (product.Life is not { } life) return;
        if (product.LoadTest is not { Unit: { } unit })
        {
            findings.Wrong(product, nameof(product.Life), "life for a product without loadTest", "a loadTest with the drive unit that lives");
            return;
        }

        CheckMaterials(life, findings);
        CheckGears(life, unit, findings);
        CheckBearings(life, unit, findings);
        CheckAgeing(life, findings);
        CheckStages(unit, findings);
        RouteRules.CheckDistinct(life.Bent, nameof(BentPart.Name), b => b.Name, "a bent part", findings);
        foreach (var part in life.Bent) CheckLine(part.Line, findings);
        if (life.Clutch is { } clutch) CheckLine(clutch, findings);
    }

    static void CheckMaterials(LifePlan life, Findings findings)
    {
        RouteRules.CheckDistinct(life.Materials, nameof(GearMaterial.Id), m => m.Id, "a material", findings);
        foreach (var material in life.Materials)
        {
            RouteRules.CheckId(material, nameof(material.Id), material.Id, findings);
            CheckLine(material.Root, findings);
            if (material.Flank is { } flank) CheckLine(flank, findings);
            if (material.WearM3PerNm > 0 && material.WearOrigin.Length == 0)
                findings.Wrong(material, nameof(material.WearOrigin), "wearM3PerNm without wearOrigin", "where the wear comes from");
        }
    }

    static void CheckLine(FatigueLine line, Findings findings)
    {
        if (findings.Sound(line, nameof(line.Slope), nameof(line.SlopeLower), nameof(line.SlopeUpper)) && !(line.SlopeLower <= line.Slope && line.Slope <= line.SlopeUpper))
            findings.Wrong(line, nameof(line.Slope), Figure(line.Slope), $"a slope from slopeLower {Figure(line.SlopeLower)} to slopeUpper {Figure(line.SlopeUpper)}");
        if (line.Strength.Count == 0) findings.Wrong(line, nameof(line.Strength), "no strength", "a strength at one temperature at least");
        for (var i = 1; i < line.Strength.Count; i++)
        {
            if (line.Strength[i].TemperatureC <= line.Strength[i - 1].TemperatureC && findings.Sound(line.Strength[i], nameof(StrengthAt.TemperatureC)))
                findings.Wrong(line.Strength[i], nameof(StrengthAt.TemperatureC), Figure(line.Strength[i].TemperatureC), $"a temperature above the one before, {Figure(line.Strength[i - 1].TemperatureC)} °C");
        }
    }

    static void CheckGears(LifePlan life, DriveUnit unit, Findings findings)
    {
        if (life.Gears.Count != unit.Gears.Count)
            findings.Wrong(life, nameof(life.Gears), $"{Figure(life.Gears.Count)} gear pairs", $"{Figure(unit.Gears.Count)}, one for each stage of the unit");
        foreach (var pair in life.Gears)
        {
            foreach (var (property, id) in new[] { (nameof(pair.Pinion), pair.Pinion), (nameof(pair.Wheel), pair.Wheel) })
            {
                if (life.Materials.All(m => m.Id != id))
                    findings.Wrong(pair, property, $"material '{id}'", $"one of the materials: {string.Join(", ", life.Materials.Select(m => m.Id))}", NearestWord.To(id, [.. life.Materials.Select(m => m.Id)]) is { } near ? $"Did you mean '{near}'?" : null);
            }
        }

        for (var s = 0; s < Math.Min(life.Gears.Count, unit.Gears.Count); s++)
        {
            if (!findings.Sound(life.Gears[s], nameof(GearPair.PinionShift), nameof(GearPair.WheelShift)) || !findings.Sound(unit.Gears[s], nameof(GearStage.PinionTeeth), nameof(GearStage.WheelTeeth), nameof(GearStage.HelixDeg), nameof(GearStage.NormalModuleM), nameof(GearStage.FaceWidthM))) continue;
            try
            {
                _ = new GearMesh(unit.Gears[s], life.Gears[s]);
            }
            catch (ArgumentOutOfRangeException e)
            {
                findings.Wrong(life.Gears[s], nameof(GearPair.PinionShift), Figure(life.Gears[s].PinionShift), "a profile shift that leaves teeth a root and a tip", e.Message.Split('\n')[0]);
            }
        }
    }

    static void CheckBearings(LifePlan life, DriveUnit unit, Findings findings)
    {
        RouteRules.CheckDistinct(life.Bearings, nameof(LoadedBearing.Name), b => b.Name, "a bearing", findings);
        foreach (var bearing in life.Bearings)
        {
            if (bearing.Shaft > unit.Gears.Count)
                findings.Wrong(bearing, nameof(bearing.Shaft), Figure(bearing.Shaft), $"a shaft from 0 (the rotor) to {Figure(unit.Gears.Count)} (the output)");
            if (bearing.Forces.Count == 0)
                findings.Wrong(bearing, nameof(bearing.Forces), "no force", "the forces that load the bearing");
            foreach (var force in bearing.Forces)
            {
                if (force.Stage > unit.Gears.Count)
                    findings.Wrong(force, nameof(force.Stage), Figure(force.Stage), $"a stage from 1 to {Figure(unit.Gears.Count)}, or 0 for the chain");
                if (force.Stage == 0 && life.ChainringRadiusM is null)
                    findings.Wrong(force, nameof(force.Stage), "the chain's pull", "chainringRadiusM beside it", "How hard the chain pulls follows from the radius of the chainring.");
                if (force.Stage == 0 && bearing.Shaft != unit.Gears.Count)
                    findings.Wrong(force, nameof(force.Stage), $"the chain's pull at shaft {Figure(bearing.Shaft)}", $"only at the output, shaft {Figure(unit.Gears.Count)}");
            }
        }
    }

    static void CheckAgeing(LifePlan life, Findings findings)
    {
        RouteRules.CheckDistinct(life.Ageing, nameof(ThermalAgeing.Name), a => a.Name, "something that ages", findings);
        foreach (var ageing in life.Ageing)
        {
            if (findings.Sound(ageing, nameof(ageing.HalvingK), nameof(ageing.HalvingLowerK), nameof(ageing.HalvingUpperK)) && !(ageing.HalvingLowerK <= ageing.HalvingK && ageing.HalvingK <= ageing.HalvingUpperK))
                findings.Wrong(ageing, nameof(ageing.HalvingK), Figure(ageing.HalvingK), $"kelvins from halvingLowerK {Figure(ageing.HalvingLowerK)} to halvingUpperK {Figure(ageing.HalvingUpperK)}");
        }
    }

    static void CheckStages(DriveUnit unit, Findings findings)
    {
        foreach (var stage in unit.Gears)
        {
            if (stage.WheelToHousingKPerW is null != stage.WheelJPerK is null)
                findings.Wrong(stage, stage.WheelJPerK is null ? nameof(stage.WheelToHousingKPerW) : nameof(stage.WheelJPerK), stage.WheelJPerK is null ? "wheelToHousingKPerW without wheelJPerK" : "wheelJPerK without wheelToHousingKPerW", "both, or neither for a wheel as warm as the housing");
        }
    }

    static string Figure(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);
}
