using System.Collections.Concurrent;

namespace Roadproof.App.Frame;

/// <summary>When each form was first sent. Sent twice, by a double click or a reload, it says the same time both times and so counts once.</summary>
public sealed class SentForms(TimeProvider clock)
{
    readonly ConcurrentDictionary<string, DateTimeOffset> first = new(StringComparer.Ordinal);

    public DateTimeOffset FirstAt(string key) => first.GetOrAdd(key, _ => clock.GetLocalNow());
}
