namespace Roadproof.Tests.Shared;

/// <summary>The demo's definitions with a cell beside its line that builds the rotors, whole or with single places changed.</summary>
static class PlantFolder
{
    public const string Plant = "plant.yaml", Parts = "parts.yaml", Product = "products/rotor-85.yaml", Route = "routes/rotor-85.yaml";

    public static readonly IReadOnlyList<(string Name, string Text)> Files =
    [
        .. DemoFolder.Files.Select(f => f.Name switch
        {
            Plant => (f.Name, f.Text.TrimEnd() + """

                  - id: rotors
                    name: Rotor cell
                    product: rotor-85
                    taktS: 40
                    dueToday: 420
                    stations:
                      - { id: rc10, name: Magnet bench, step: magnets-in }
                      - { id: rc20, name: Balancer, step: balance }

                """.ReplaceLineEndings("\n")),
            Parts => (f.Name, f.Text.Replace("id: rotor, name: Rotor, serialised: true", "id: rotor, name: Rotor, serialised: true, product: rotor-85", StringComparison.Ordinal)
                + "  - { id: rotor-core, name: Rotor core, serialised: true, shell: true }\n  - { id: magnet, name: Magnets }\n"),
            _ => f,
        }),
        (Product, "id: rotor-85\nname: Rotor\n"),
        (Route, """
            product: rotor-85
            steps:
              - id: magnets-in
                number: 10
                name: Magnets in
                kind: assembly
                instruction: Set the magnets, alternating, and press.
                workS: 38
                parts:
                  - { part: rotor-core, say: Scan the core }
                  - { part: magnet, say: Scan the magnet lot }
              - id: balance
                number: 20
                name: Balance
                kind: check
                instruction: Clamp, start.
                workS: 30
                readings:
                  - { id: unbalance, name: Unbalance, unit: g·mm, upper: 5, standardUncertainty: 0.3, origin: "common practice, no source" }

            """.ReplaceLineEndings("\n")),
    ];

    /// <summary>The files with each edit done once; the text to be replaced must stand there exactly once.</summary>
    public static List<(string Name, string Text)> With(params (string File, string From, string To)[] edits) => DemoFolder.Edited(Files, edits);
}
