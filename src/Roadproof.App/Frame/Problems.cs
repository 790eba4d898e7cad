using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Diagnostics;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Roadproof.Engineering.Quantities;
using Roadproof.Records.Ledger;

namespace Roadproof.App.Frame;

/// <summary>Everything that goes wrong at an HTTP door: one shape for programs (RFC 9457), a page in words for people.</summary>
public static class Problems
{
    /// <summary>The trade's own "no": 409, the reason as title, the remedy as detail.</summary>
    public static ProblemDetails Of(Refusal refusal) => new()
    {
        Status = StatusCodes.Status409Conflict,
        Title = refusal.Reason,
        Detail = refusal.Remedy,
        Extensions = { ["needed"] = refusal.Needed, ["found"] = refusal.Found },
    };

    /// <summary>Input that cannot be used: 400, with every error found.</summary>
    public static ProblemDetails Of(IReadOnlyList<InputError> errors) => new()
    {
        Status = StatusCodes.Status400BadRequest,
        Title = errors.Count == 1 ? errors[0].ToString() : $"{errors.Count} things are wrong with this input.",
        Detail = string.Join('\n', errors),
        Extensions = { ["errors"] = errors },
    };

    public static IResult ToHttp(this Refusal refusal) => Results.Problem(Of(refusal));

    public static IResult ToHttp<T>(this Outcome<T> outcome)
        where T : class => outcome.Refused is { } no ? no.ToHttp() : Results.Json(outcome.Done, Json.Options);

    /// <summary>What was asked for is not here: 404.</summary>
    public static IResult Missing(string title, string remedy) => Results.Problem(title: title, detail: remedy, statusCode: StatusCodes.Status404NotFound);

    /// <summary>Turns what escapes an endpoint into the same shape, and gives it to answers that have none.</summary>
    public static void UseProblems(this WebApplication app)
    {
        app.UseExceptionHandler(Handler);
        app.UseWhen(IsForPrograms, api => api.UseStatusCodePages(async said =>
            await Results.Problem(new ProblemDetails { Status = said.HttpContext.Response.StatusCode, Title = "The request cannot be answered.", Detail = "What there is stands in /api/v1/openapi.json." }).ExecuteAsync(said.HttpContext)));
    }

    static RazorComponentResult<LayoutDocument> PageOf(ProblemDetails problem, string back) => new(new
    {
        Body = (RenderFragment)(b =>
        {
            b.OpenComponent<ProblemPage>(0);
            b.AddComponentParameter(1, nameof(ProblemPage.Problem), problem);
            b.AddComponentParameter(2, nameof(ProblemPage.Back), back);
            b.CloseComponent();
        }),
    })
    {
        StatusCode = problem.Status,
    };

    static bool IsForPrograms(HttpContext context) => context.Request.Path.StartsWithSegments("/api", StringComparison.Ordinal);

    // Only the path: an address elsewhere is not followed back.
    static string Back(HttpRequest form) => Uri.TryCreate(form.Headers.Referer, UriKind.Absolute, out var page) && page.AbsolutePath is ['/', not '/', ..] ? page.AbsolutePath : "/";

    static readonly ExceptionHandlerOptions Handler = new()
    {
        // What the sender did wrong is told to the sender; the log is for what we did.
        SuppressDiagnosticsCallback = said => said.Exception is InputException or BadHttpRequestException or NotKeptException,
        ExceptionHandler = async context =>
        {
            var thrown = context.Features.Get<IExceptionHandlerFeature>()?.Error;
            var problem = thrown switch
            {
                InputException e => Of(e.Errors),
                BadHttpRequestException e when !IsForPrograms(context) => new ProblemDetails
                {
                    Status = e.StatusCode, Title = "The form could not be read.", Detail = "It comes from an old page or came in half; nothing was recorded. Load the page again and send it once more.",
                },
                BadHttpRequestException e => new ProblemDetails { Status = e.StatusCode, Title = "The request cannot be read.", Detail = e.InnerException?.Message ?? e.Message },
                IOException e => new ProblemDetails { Status = StatusCodes.Status507InsufficientStorage, Title = e.Message, Detail = "Nothing was kept. Mend the disk and send it again with the same key." },
                _ => new ProblemDetails { Status = StatusCodes.Status500InternalServerError, Title = "Bug in Roadproof.", Detail = $"Please report it with the time and what you did: {thrown?.Message}" },
            };
            await (IsForPrograms(context) ? Results.Problem(problem) : PageOf(problem, Back(context.Request))).ExecuteAsync(context);
        },
    };
}
