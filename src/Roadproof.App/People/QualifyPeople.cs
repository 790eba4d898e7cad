using System.Text.Json.Serialization;
using Roadproof.App.Frame;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.People;

namespace Roadproof.App.People;

/// <summary>Grants, withdraws and shows what a person is qualified for. The person is an opaque key; names stay outside.</summary>
public static class QualifyPeople
{
    /// <summary>What is said of a person's qualification.</summary>
    /// <param name="OccurredAt">The sender's time: a repeat with the same key says the same time.</param>
    /// <param name="Person">Who grants it.</param>
    public sealed record GrantRequest(string Key, string Qualification, DateTimeOffset? ValidUntil, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    /// <summary>What is said when it is taken away.</summary>
    /// <param name="OccurredAt">The sender's time: a repeat with the same key says the same time.</param>
    /// <param name="Person">Who withdraws it.</param>
    public sealed record WithdrawRequest(string Key, string Reason, [property: JsonRequired] DateTimeOffset OccurredAt, string? Person = null);

    public static void Map(IEndpointRouteBuilder app)
    {
        app.MapPost("/api/v1/people/{person}/qualifications", async (string person, GrantRequest said, OpenLine line) => (await Grant(person, said, line)).ToHttp())
            .WithSummary("Grant a person a qualification until a date");
        app.MapPost("/api/v1/people/{person}/qualifications/{qualification}/withdraw", async (string person, string qualification, WithdrawRequest said, OpenLine line) =>
            (await Withdraw(person, qualification, said, line)).ToHttp()).WithSummary("Withdraw a person's qualification");
        app.MapGet("/api/v1/people/{person}/qualifications", (string person, OpenLine line) => Results.Json(Show(person, line), Json.Options)).WithSummary("What a person is and was qualified for");
    }

    public static Task<Outcome<QualificationAnswer>> Grant(string person, GrantRequest said, OpenLine line) => line.Ledger.Write(t =>
        GrantQualification.Decide(t, new("grant", person, said.Qualification, said.ValidUntil, said.Key, said.Reason, said.OccurredAt, said.Person)));

    public static Task<Outcome<QualificationAnswer>> Withdraw(string person, string qualification, WithdrawRequest said, OpenLine line) => line.Ledger.Write(t =>
        WithdrawQualification.Decide(t, new("withdraw", person, qualification, null, said.Key, said.Reason, said.OccurredAt, said.Person)));

    public static IReadOnlyList<QualificationView> Show(string person, OpenLine line) => line.Ask(c => QualificationView.Of(c, person));
}
