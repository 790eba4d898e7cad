using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Roadproof.App.Definitions;
using Roadproof.App.Line;
using Roadproof.App.LoadTest;
using Roadproof.App.LoadTest.Rigs;
using Roadproof.App.Lots;
using Roadproof.App.Orders;
using Roadproof.App.People;
using Roadproof.App.Records;
using Roadproof.App.Rework;
using Roadproof.App.Road;
using Roadproof.App.Station;
using Roadproof.App.Unit;
using Roadproof.Records.Rides;

namespace Roadproof.App.Frame;

/// <summary>The pages and the HTTP interface over an open line.</summary>
public static class WebHost
{
    // A message with every screw of a step is a few kilobytes; only a capture is larger and says so itself.
    const long LargestBody = 1L << 20;

    /// <param name="urls">Where to listen, such as <c>http://127.0.0.1:5080</c>; port 0 takes a free one.</param>
    public static WebApplication Build(OpenLine line, string urls, bool quiet = false)
    {
        // Pages and their files lie beside the program, wherever it is started from.
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions { ContentRootPath = AppContext.BaseDirectory, WebRootPath = Path.Combine(AppContext.BaseDirectory, "wwwroot") });
        builder.WebHost.UseUrls(urls);
        builder.WebHost.ConfigureKestrel(kestrel =>
        {
            kestrel.Limits.MaxRequestBodySize = LargestBody;
            kestrel.ConfigureEndpointDefaults(endpoint => endpoint.Protocols = HttpProtocols.Http1);
            kestrel.AddServerHeader = false;
        });
        builder.Logging.SetMinimumLevel(quiet ? LogLevel.Error : LogLevel.Warning);
        // The keys protect the forms of this folder only; they need no vault of their own.
        builder.Logging.AddFilter("Microsoft.AspNetCore.DataProtection", LogLevel.Error);
        builder.Services.AddSingleton(line);
        builder.Services.AddSingleton(line.Clock);
        builder.Services.AddSingleton<RecentCaptures>();
        builder.Services.AddSingleton<RunChannelCache>();
        builder.Services.AddSingleton<LoadTestSeen>();
        builder.Services.AddSingleton<UnitCurvePictures>();
        builder.Services.AddHostedService<DeleteRetiredCaptures>();
        builder.Services.AddSingleton<BenchScans>();
        builder.Services.AddSingleton<SentForms>();
        builder.Services.AddSingleton(services => new ComparedRigs(services.GetRequiredService<OpenLine>()));
        builder.Services.AddSingleton(new RideStore(line.FolderPath, line.Clock));
        builder.Services.AddSingleton<RoadSums>();
        builder.Services.AddSingleton<RoadStudies>();
        builder.Services.AddSingleton<ShownRides>();
        builder.Services.AddSingleton<SentRides>();
        builder.Services.ConfigureHttpJsonOptions(json => Json.Set(json.SerializerOptions));
        builder.Services.Configure<RouteHandlerOptions>(o => o.ThrowOnBadRequest = true);
        builder.Services.AddOpenApi();
        builder.Services.AddRazorComponents();
        builder.Services.AddScoped(_ => new LayoutFacts(line.Standing[0].Plant.Name, line.Standing is [var only] ? $"{only.Line.Name}, {only.Product.Name}" : null, line.Clock));
        builder.Services.AddAntiforgery();
        builder.Services.AddDataProtection().PersistKeysToFileSystem(new DirectoryInfo(Path.Combine(line.FolderPath, "keys")));

        var app = builder.Build();
        app.UseProblems();
        app.UseTooLarge(LargestBody);
        app.UseStaticFiles();
        app.UseAntiforgery();
        Map(app);
        return app;
    }

    /// <summary>Every door of the web host.</summary>
    public static void Map(WebApplication app)
    {
        TakeStationMessage.Map(app);
        KeepCapture.Map(app);
        ShowTrace.Map(app);
        ShowStretch.Map(app);
        ShowTurn.Map(app);
        ShowOrderMap.Map(app);
        ShowBand.Map(app);
        ListOtherRuns.Map(app);
        RigStatus.Map(app);
        CompareRigs.Map(app);
        RejudgeUnits.Map(app);
        DecideOnRig.Map(app);
        ActOnLot.Map(app);
        ReceiveDelivery.Map(app);
        ActOnOrder.Map(app);
        TakeOrders.Map(app);
        ActOnUnit.Map(app);
        QualifyPeople.Map(app);
        KeepCalibration.Map(app);
        TellChanges.Map(app);
        AskLine.Map(app);
        ScanAtStation.Map(app);
        DecideOnUnit.Map(app);
        ReworkUnit.Map(app);
        DecideAtRework.Map(app);
        DecideOnLot.Map(app);
        DecideOnOrder.Map(app);
        DropMessage.Map(app);
        CheckDefinitions.Map(app);
        ApproveDefinitions.Map(app);
        ListRevisions.Map(app);
        ReviewDraft.Map(app);
        KeepRides.Map(app);
        RoadStudies.Map(app);
        AskRoad.Map(app);
        app.Map("/api/{**rest}", (HttpRequest asked) => Problems.Missing(
            $"There is no {asked.Method} at {asked.Path}{(asked.ContentType is null || asked.HasJsonContentType() ? "" : $" that takes {asked.ContentType}")}.", "What there is stands in /api/v1/openapi.json.")).ExcludeFromDescription();
        app.MapOpenApi("/api/v1/openapi.json");
        app.MapRazorComponents<LayoutDocument>();
    }
}
