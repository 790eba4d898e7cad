using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.CycleDesign;
using Roadproof.Engineering.Drive;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Road;

/// <summary>A cycle that is handed in: a file of points, an answer of a command that tells points, or text on a page.</summary>
static class CycleInput
{
    const int MostOctets = 1 << 20;

    // Answers tell more than their points.
    [JsonUnmappedMemberHandling(JsonUnmappedMemberHandling.Skip)]
    sealed record Told(IReadOnlyList<ToldPoint>? Points);

    [JsonUnmappedMemberHandling(JsonUnmappedMemberHandling.Skip)]
    sealed record ToldPoint
    {
        public required double TorqueNm { get; init; }
        public required double SpeedRadPerS { get; init; }
        public required double HoldS { get; init; }
    }

    /// <exception cref="InputException">No such file, or no cycle in it.</exception>
    public static DesignCycle.NamedCycle File(string path, DriveUnit unit)
    {
        byte[] octets;
        try
        {
            if (new FileInfo(path).Length > MostOctets) throw new InputException(new InputError(path, 0, "", "more than a megabyte", "a cycle of a few points"));
            octets = System.IO.File.ReadAllBytes(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new InputException(new InputError(path, 0, "", System.IO.File.Exists(path) ? "a file that cannot be read" : "no such file", "a cycle as CSV, or an answer in JSON"));
        }

        var text = Encoding.UTF8.GetString(octets).TrimStart('\uFEFF').TrimStart();
        return new(Path.GetFileName(path), text.StartsWith('{') ? OfAnswer(path, text, unit) : CycleFile.Read(path, new MemoryStream(octets), unit));
    }

    /// <param name="text">As typed or pasted; with its header row.</param>
    /// <exception cref="InputException">No cycle in it.</exception>
    public static DesignCycle.NamedCycle Typed(string name, string text, DriveUnit unit) => new(name, CycleFile.Read(name, new MemoryStream(Encoding.UTF8.GetBytes(text.Trim())), unit));

    static IReadOnlyList<CyclePoint> OfAnswer(string path, string text, DriveUnit unit)
    {
        IReadOnlyList<CyclePoint>? points;
        try
        {
            points = JsonSerializer.Deserialize<Told>(text, Json.Options)?.Points?.Select(p => new CyclePoint(p.TorqueNm, p.SpeedRadPerS, p.HoldS)).ToList();
        }
        catch (JsonException e)
        {
            throw new InputException(new InputError(path, (int)(e.LineNumber ?? 0) + 1, "", "JSON that is cut or has other fields", "points with torqueNm, speedRadPerS and holdS, as road cycle --json gives them"));
        }

        if (points is null) throw new InputException(new InputError(path, 0, "points", "no points", "an answer of road cycle --json or loadtest cycle --json"));
        // Through the same door as a written one: what a unit cannot do is refused alike.
        return CycleFile.Read(path, new MemoryStream(Encoding.UTF8.GetBytes(CycleFile.Write(points))), unit);
    }
}
