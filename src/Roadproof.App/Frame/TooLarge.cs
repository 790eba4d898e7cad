using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.Metadata;

namespace Roadproof.App.Frame;

/// <summary>Answers a body that is larger than its door takes, after reading it to its end: a sender in the middle of sending would find a broken connection in place of the answer.</summary>
static class TooLarge
{
    /// <summary>More than that is not read for the sake of an answer.</summary>
    const long MostRead = 64L << 20;

    /// <param name="largest">For doors that say nothing of their own, bytes.</param>
    public static void UseTooLarge(this WebApplication app, long largest) => app.Use(async (context, next) =>
    {
        var limit = context.GetEndpoint()?.Metadata.GetMetadata<IRequestSizeLimitMetadata>()?.MaxRequestBodySize ?? largest;
        if (context.Request.ContentLength is not { } sent || sent <= limit || sent > MostRead || context.Features.Get<IHttpMaxRequestBodySizeFeature>() is not { IsReadOnly: false } allowed)
        {
            await next(context);
            return;
        }

        allowed.MaxRequestBodySize = sent;
        await context.Request.Body.CopyToAsync(Stream.Null, context.RequestAborted);
        throw new BadHttpRequestException(Invariant($"The body has {sent} bytes; this door takes {limit}."), StatusCodes.Status413PayloadTooLarge);
    });
}
