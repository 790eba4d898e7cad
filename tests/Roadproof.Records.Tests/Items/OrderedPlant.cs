using Roadproof.Records.Definitions;
using Roadproof.Records.Messages;

namespace Roadproof.Records.Tests.Items;

/// <summary>The small plant with its product in two variants: what the American one takes instead is the gear set and the label; region and label text differ.</summary>
static class OrderedPlant
{
    public static readonly RouteRevision Revision = TestRoute.Revision with
    {
        Product = TestRoute.Revision.Product with
        {
            Variants =
            [
                new() { Id = "eu", Name = "EU", Region = "EU-25", Label = "AF EU" },
                new() { Id = "us", Name = "US", Region = "US-20", Label = "AF US", Parts = [new() { Part = "gear-set", Take = "gear-set-339" }, new() { Part = "label", Take = "label-us" }] },
            ],
        },
        Parts = [.. TestRoute.Revision.Parts, new() { Id = "label-us", Name = "Label US" }],
        Steps =
        [
            .. TestRoute.Revision.Steps.Select(s => s with
            {
                Parts = [.. s.Parts.Select(p => p with { OfVariant = p.Part is "gear-set" or "label" })],
                Readings = [.. s.Readings.Select(r => r.Id switch { "region" => r with { Equal = null, OfVariant = VariantText.Region }, "label-read" => r with { OfVariant = VariantText.Label }, _ => r })],
            }),
        ],
    };

    /// <summary>With a lot of every part in the store, and order O-1 (EU) and O-2 (US) open.</summary>
    public static async Task<TestPlant> Start(int quantity = 3)
    {
        var plant = new TestPlant(context: new([Revision], _ => Revision));
        await plant.ReceiveLots();
        await plant.ReceiveLot("L-label-us", "label-us");
        await plant.OpenOrder("O-1", quantity, "eu", "Tarnbeck Cycles");
        await plant.OpenOrder("O-2", quantity, "us");
        return plant;
    }

    /// <summary>The message as a unit of a variant is built.</summary>
    public static StationMessage As(this StationMessage said, string variant)
    {
        var step = Revision.For(Revision.VariantOf(variant)).StepOf(said.Step)!;
        return said with
        {
            Parts = [.. said.Parts.Select((p, i) => p with { Part = step.Parts.Where(s => s.Part != "shell").ElementAt(i).Part, Lot = $"L-{step.Parts.Where(s => s.Part != "shell").ElementAt(i).Part}" })],
            Readings = [.. said.Readings.Select(r => step.Readings.First(s => s.Id == r.Id) is { Equal: { } equal } ? r with { Text = equal } : r)],
        };
    }

    /// <summary>Builds a unit until a step, or through.</summary>
    public static Task BuildAs(this TestPlant plant, string unit, string variant, string? until = null) => plant.Build(unit, until, m => m.As(variant));
}
