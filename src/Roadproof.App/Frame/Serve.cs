using System.CommandLine;
using Roadproof.App.Definitions;
using Roadproof.App.LoadTest;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Frame;

/// <summary>Serves a line's pages and interface until it is stopped.</summary>
public static class Serve
{
    public static Command Command()
    {
        Option<string> urls = Urls();
        return CommandLine.Verb("serve", "Serves the pages and the interface of a line.", "serve --data plant", [urls], async (input, face, stop) =>
        {
            RequireUrls(input.GetValue(urls)!);
            await using var line = await OpenLine.Open(input.GetValue(CommandLine.DataOption)!);
            if (line.Revisions.All.Count == 0)
            {
                // A new folder starts with the definitions it is given, approved by the one who starts it.
                var folder = input.GetValue(CommandLine.DefinitionsOption)!;
                await line.Approve(FindProduct.Files(folder), new("first-start"));
                face.Note($"A new data folder: the definitions of {folder} are approved as {string.Join(", ", line.Standing.Select(r => r.Id))}.");
            }

            await using var app = WebHost.Build(line, input.GetValue(urls)!);
            await app.StartAsync(stop);
            _ = app.Services.GetRequiredService<LoadTestSeen>().Begin();
            face.Note($"Roadproof serves {line.Standing[0].Plant.Name}, {string.Join(", ", line.Standing.Select(r => r.Line.Name))} at {string.Join(" ", app.Urls)}. Stop with Ctrl+C.");
            await app.WaitForShutdownAsync(stop);
            return Exit.Done;
        });
    }

    public static Option<string> Urls() => new("--urls") { DefaultValueFactory = _ => "http://localhost:5080", Description = "Where to listen." };

    /// <exception cref="InputException">An address that cannot be listened at. A host by name would silently be heard on every network of the machine.</exception>
    public static void RequireUrls(string urls)
    {
        var wrong = urls.Split(';').Where(u => !IsAddress(u)).Select(u => new InputError("--urls", 0, "", $"'{u}'",
            "http:// and localhost, an IP address of this machine or * for all of them, with a port up to 65535, such as http://localhost:5080; http://127.0.0.1:0 takes a free port")).ToList();
        if (wrong.Count > 0) throw new InputException(wrong);
    }

    static bool IsAddress(string url)
    {
        // Kestrel's own star is no host to the class that knows addresses.
        var plain = url.Replace("://*", "://0.0.0.0", StringComparison.Ordinal).Replace("://+", "://0.0.0.0", StringComparison.Ordinal);
        return Uri.TryCreate(plain, UriKind.Absolute, out var at) && at.Scheme == Uri.UriSchemeHttp && at.PathAndQuery == "/"
            && (at.IsLoopback || at.HostNameType is UriHostNameType.IPv4 or UriHostNameType.IPv6) && !(at.IsLoopback && at.HostNameType == UriHostNameType.Dns && at.Port == 0);
    }
}
