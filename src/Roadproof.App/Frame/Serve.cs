using System.CommandLine;
using Roadproof.App.Definitions;

namespace Roadproof.App.Frame;

/// <summary>Serves a line's pages and interface until it is stopped.</summary>
public static class Serve
{
    public static Command Command()
    {
        Option<string> urls = Urls();
        return CommandLine.Verb("serve", "Serves the pages and the interface of a line.", "serve --data plant", [urls], async (input, face, stop) =>
        {
            await using var line = await OpenLine.Open(input.GetValue(CommandLine.DataOption)!, TimeProvider.System);
            if (line.Revisions.Newest is null)
            {
                // A new folder starts with the definitions it is given, approved by the one who starts it.
                var folder = input.GetValue(CommandLine.DefinitionsOption)!;
                await line.Approve(FindProduct.Files(folder), "first-start");
                face.Note($"A new data folder: the definitions of {folder} are approved as {line.Current.Id}.");
            }

            await using var app = WebHost.Build(line, input.GetValue(urls)!);
            await app.StartAsync(stop);
            face.Note($"Roadproof serves {line.Current.Plant.Name}, {line.Current.Plant.Line} at {string.Join(" ", app.Urls)}. Stop with Ctrl+C.");
            await app.WaitForShutdownAsync(stop);
            return Exit.Done;
        });
    }

    public static Option<string> Urls() => new("--urls") { DefaultValueFactory = _ => "http://localhost:5080", Description = "Where to listen." };
}
