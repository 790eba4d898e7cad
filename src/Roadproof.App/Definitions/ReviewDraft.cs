using System.Text.Json;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.App.Definitions;

/// <summary>A folder of files looked at on a page, and then approved by the person who looked.</summary>
public static class ReviewDraft
{
    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/definitions/draft", async (IFormFileCollection files, OpenLine line) => Look(await Read(files), line)).ExcludeFromDescription();
        // A page that is looked at again asks by GET.
        app.MapGet("/definitions/draft", () => Results.Redirect("/definitions")).ExcludeFromDescription();
        app.MapPost("/definitions/approve", async ([FromForm] string files, [FromForm] string seen, [FromForm] string person, [FromForm] string reason, [FromForm] string? from, IFormCollection form, OpenLine line) =>
        {
            var said = new ApprovalWord(person.Trim(), reason.Trim(), PlantTime(from, line.Clock)) { Withdraw = [.. form["withdraw"].OfType<string>()], Seen = seen };
            return await Approve(JsonSerializer.Deserialize<IReadOnlyList<DefinitionFile>>(files, Json.Options) ?? [], said, line);
        }).ExcludeFromDescription();
    }

    static async Task<IResult> Approve(IReadOnlyList<DefinitionFile> files, ApprovalWord said, OpenLine line)
    {
        Outcome<ApproveDefinitions.Answer> outcome;
        try
        {
            outcome = await ApproveDefinitions.Run(files.Select(f => (f.Name, f.Text)), said, line);
        }
        catch (InputException e)
        {
            // What was typed stays beside what it was typed about.
            return Look(files, line, new(e.Message, ""));
        }

        return outcome.Done is { } done ? Results.Redirect($"/definitions?done={Uri.EscapeDataString(Said(done))}") : Look(files, line, outcome.Refused);
    }

    static RazorComponentResult<LayoutDocument> Look(IReadOnlyList<DefinitionFile> files, OpenLine line, Refusal? refused = null)
    {
        var shown = new Dictionary<string, object?>(StringComparer.Ordinal) { [nameof(DraftSheet.Refused)] = refused, [nameof(DraftSheet.Now)] = line.Clock.GetLocalNow() };
        try
        {
            var draft = DefinitionDraft.Of(files.Select(f => (f.Name, f.Text)), line.Revisions);
            shown[nameof(DraftSheet.Draft)] = draft;
            shown[nameof(DraftSheet.LeftOut)] = line.Ask(c => draft.LeftOut.Select(r => ApproveDefinitions.LeftOut(r.Revision, c)).ToList());
            shown[nameof(DraftSheet.Files)] = JsonSerializer.Serialize(files, Json.Options);
        }
        catch (InputException e)
        {
            shown[nameof(DraftSheet.Errors)] = e.Errors;
        }

        return new(new
        {
            Body = (RenderFragment)(b =>
            {
                b.OpenComponent<DraftSheet>(0);
                b.AddMultipleAttributes(1, shown!);
                b.CloseComponent();
            }),
        });
    }

    /// <summary>The definition files of a folder as a browser sends it: with the folder's own name in front of each, or without.</summary>
    static async Task<IReadOnlyList<DefinitionFile>> Read(IFormFileCollection sent)
    {
        var files = new List<DefinitionFile>();
        foreach (var file in sent)
        {
            var path = file.FileName.Replace('\\', '/').Split('/');
            var name = path is [.., "products" or "routes", _] ? $"{path[^2]}/{path[^1]}" : path.Length <= 2 ? path[^1] : file.FileName;
            if (!name.EndsWith(".yaml", StringComparison.Ordinal) && !name.EndsWith(".yml", StringComparison.Ordinal)) continue;
            using var text = new StreamReader(file.OpenReadStream());
            files.Add(new(name, await text.ReadToEndAsync()));
        }

        return files;
    }

    // A form says plant time without an offset.
    static DateTimeOffset? PlantTime(string? said, TimeProvider clock) =>
        string.IsNullOrWhiteSpace(said) ? null
        : DateTime.TryParse(said, CultureInfo.InvariantCulture, out var time) ? new(time, clock.LocalTimeZone.GetUtcOffset(time))
        : throw new InputException(new InputError("approval", 0, "from", $"'{said}'", "a day and time, such as 2031-03-05T06:00"));

    static string Said(ApproveDefinitions.Answer done)
    {
        var fresh = done.Revisions.Where(r => r.New).Select(r => r.Revision).ToList();
        var approved = fresh.Count > 0 ? $"Approved: {string.Join(", ", fresh)}." : "Nothing was different, so nothing was approved.";
        return done.Withdrawn.Count > 0 ? $"{approved} Withdrawn: {string.Join(", ", done.Withdrawn.Select(w => w.Product))}." : approved;
    }
}
