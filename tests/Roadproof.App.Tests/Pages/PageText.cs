using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Forms;
using Microsoft.AspNetCore.Components.Web;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using Microsoft.JSInterop;
using Roadproof.App.Frame;

namespace Roadproof.App.Tests.Pages;

/// <summary>Pages as text, rendered as the server renders them, without a server.</summary>
static class PageText
{
    /// <summary>One component alone.</summary>
    public static Task<string> Of<TComponent>(params (string Name, object? Value)[] parameters)
        where TComponent : IComponent => Render<TComponent>("/", parameters);

    /// <summary>A whole document: layout, head and the component as its page.</summary>
    public static Task<string> Document<TLayout, TComponent>(string path, params (string Name, object? Value)[] parameters)
        where TLayout : LayoutComponentBase
        where TComponent : IComponent
    {
        RenderFragment page = b =>
        {
            b.OpenComponent<TComponent>(0);
            b.AddMultipleAttributes(1, parameters.Select(p => new KeyValuePair<string, object>(p.Name, p.Value!)));
            b.CloseComponent();
        };
        RenderFragment sheet = b =>
        {
            b.OpenComponent<TLayout>(0);
            b.AddMultipleAttributes(1, [new(nameof(LayoutComponentBase.Body), page)]);
            b.CloseComponent();
        };
        return Render<LayoutDocument>(path, (nameof(LayoutDocument.Body), sheet));
    }

    static async Task<string> Render<TComponent>(string path, params (string Name, object? Value)[] parameters)
        where TComponent : IComponent
    {
        var services = new ServiceCollection();
        var clock = new FakeTimeProvider(SampleUnits.Now.ToUniversalTime());
        clock.SetLocalTimeZone(TimeZoneInfo.CreateCustomTimeZone("plant", SampleUnits.Now.Offset, "plant", "plant"));
        services.AddSingleton(new LayoutFacts("Alderfen Works", "Line 1, AF-85 mid-drive unit", clock));
        services.AddSingleton<NavigationManager>(new At(path));
        services.AddSingleton<AntiforgeryStateProvider, OneToken>();
        services.AddSingleton<IJSRuntime, NoScript>();
        services.AddSingleton<ILoggerFactory>(NullLoggerFactory.Instance);
        await using var provider = services.BuildServiceProvider();
        await using var renderer = new HtmlRenderer(provider, NullLoggerFactory.Instance);
        return await renderer.Dispatcher.InvokeAsync(async () =>
        {
            var root = await renderer.RenderComponentAsync<TComponent>(ParameterView.FromDictionary(parameters.ToDictionary(p => p.Name, p => p.Value)));
            return root.ToHtmlString();
        });
    }

    sealed class At : NavigationManager
    {
        public At(string path) => Initialize("http://plant.test/", $"http://plant.test{path}");
    }

    sealed class OneToken : AntiforgeryStateProvider
    {
        public override AntiforgeryRequestToken? GetAntiforgeryToken() => new("sample", "__RequestVerificationToken");
    }

    // The head asks for it by type; a page without a circuit never calls it.
    sealed class NoScript : IJSRuntime
    {
        public ValueTask<TValue> InvokeAsync<TValue>(string identifier, object?[]? args) => throw new InvalidOperationException("A static page calls no script.");

        public ValueTask<TValue> InvokeAsync<TValue>(string identifier, CancellationToken cancellationToken, object?[]? args) => throw new InvalidOperationException("A static page calls no script.");
    }
}
