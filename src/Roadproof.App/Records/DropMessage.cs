using Roadproof.App.Frame;
using Roadproof.Records.Messages;

namespace Roadproof.App.Records;

/// <summary>Takes a message that nobody will mend out of the quarantine.</summary>
public static class DropMessage
{
    public static void Map(IEndpointRouteBuilder app) => app
        .MapPost("/quarantine/{id:long}/drop", async (long id, OpenLine line, IFormCollection form) =>
        {
            await line.Ledger.Write(t => Quarantine.Close(t, id, replayKey: null, person: ""));
            return Results.Redirect("/quarantine");
        })
        .ExcludeFromDescription();
}
