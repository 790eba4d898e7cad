namespace Roadproof.Tests.Shared;

/// <summary>The demo's definitions with the drive unit in two variants: gears, label, firmware and region of its own for the American one. Whole, or with single places changed.</summary>
static class OrderFolder
{
    public const string Parts = "parts.yaml", Product = "products/af-85.yaml", Route = "routes/af-85.yaml";

    public static readonly IReadOnlyList<(string Name, string Text)> Files = DemoFolder.Edited(
        DemoFolder.Files,
        (Product, "name: AF-85 mid-drive unit\n", """
            name: AF-85 mid-drive unit
            variants:
              - { id: eu-25, name: "EU, 25 km/h", region: EU-25, firmware: 7c1d9e40a2b85f36, label: AF-85 EU }
              - id: us-20
                name: US, 20 mph
                region: US-20
                firmware: 91b04cde77a1f208
                label: AF-85 US
                parts:
                  - { part: gear-set, take: gear-set-339 }
                  - { part: label, take: label-us }

            """.ReplaceLineEndings("\n")),
        (Parts, "  - { id: label, name: Quality label }\n", "  - { id: label, name: Quality label, variant: EU }\n  - { id: label-us, name: Quality label, variant: US }\n"),
        (Route, "equal: 7c1d9e40a2b85f36", "ofVariant: firmware"),
        (Route, "equal: EU-25", "ofVariant: region"),
        (Route, "part: gear-set, say: Scan the gear set, hint: It must read ratio 36.18.", "part: gear-set, say: Scan the gear set, ofVariant: true"),
        (Route, "part: label, say: Scan the label roll", "part: label, say: Scan the label roll, ofVariant: true"),
        (Route, "id: label-read, name: Label read back, text: true", "id: label-read, name: Label read back, text: true, ofVariant: label"));

    /// <summary>The files with each edit done once; the text to be replaced must stand there exactly once.</summary>
    public static List<(string Name, string Text)> With(params (string File, string From, string To)[] edits) => DemoFolder.Edited(Files, edits);
}
