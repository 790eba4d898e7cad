using Dapper;
using Roadproof.Engineering.Marking;
using Roadproof.Records.Ledger;
using Roadproof.Records.Marking;
using Roadproof.Records.Stores;

namespace Roadproof.Records.Tests;

public sealed class SerialBookTests : IAsyncLifetime
{
    readonly TestFolder place = new();
    DataFolder folder = null!;
    LineLedger ledger = null!;

    public ValueTask InitializeAsync()
    {
        folder = place.Open();
        ledger = new LineLedger(folder, TimeProvider.System, new ItemCounts());
        return ValueTask.CompletedTask;
    }

    public async ValueTask DisposeAsync()
    {
        await ledger.DisposeAsync();
        folder.Dispose();
        place.Dispose();
    }

    Task<string> Issue(string unit) => ledger.Write(t => SerialBook.Issue(t, unit, "AL85", "st130", Sample.Start, "p1"));

    [Fact]
    public async Task Gives_a_unit_the_same_number_again()
    {
        var first = await Issue("SH-0000001");

        Assert.Equal(first, await Issue("SH-0000001"));
        Assert.Equal(1, ledger.Head.Size);
        Assert.Equal(("AL85", 25), (SerialNumber.Parse(first).Prefix, SerialNumber.Parse(first).Year));
    }

    [Fact]
    public async Task Gives_every_number_once_to_many_at_a_time_and_explains_each()
    {
        var serials = await Task.WhenAll(Enumerable.Range(0, 500).Select(u => Task.Run(() => Issue($"SH-{u:d7}"))));

        Assert.Equal(500, serials.Distinct().Count());
        using var connection = folder.ReadConnection();
        var numbers = connection.Query<long>("select number from serial order by number").ToList();
        Assert.Equal(Enumerable.Range(1, numbers.Count).Select(n => (long)n), numbers);
        var passedOver = connection.Query<(string Serial, string Reason)>("select serial, reason from serial where state = 'void'").ToList();
        Assert.Equal(numbers.Count - 500, passedOver.Count);
        Assert.NotEmpty(passedOver);
        Assert.All(passedOver, p => Assert.Equal($"Passed over: its check character would be {p.Serial[^1]}, which is misread.", p.Reason));
        Assert.All(serials, s => Assert.DoesNotContain(s[^1], "IOQ"));
    }

    [Fact]
    public async Task Takes_no_number_when_the_work_is_undone()
    {
        await Assert.ThrowsAsync<TimeoutException>(() => ledger.Write<string>(t =>
        {
            SerialBook.Issue(t, "SH-0000001", "AL85", "st130", Sample.Start, "p1");
            throw new TimeoutException();
        }));

        Assert.EndsWith("000001", (await Issue("SH-0000002"))[..^1]);
    }

    [Fact]
    public async Task Lists_what_is_issued_and_on_no_unit()
    {
        var (used, spoiled, open) = (await Issue("SH-0000001"), await Issue("SH-0000002"), await Issue("SH-0000003"));
        await ledger.Write(t =>
        {
            SerialBook.Use(t.Connection, t.Transaction, used);
            return SerialBook.Void(t, spoiled, "mark spoiled, lens dirty", "st130", Sample.Start, "p1");
        });

        using var connection = folder.ReadConnection();
        Assert.Equal(open, Assert.Single(SerialBook.Unexplained(connection)).Serial);
        Assert.Equal(("void", "mark spoiled, lens dirty"), SerialBook.Find(connection, spoiled) is { } e ? (e.State, e.Reason) : default);
        Assert.NotEqual(spoiled, await Issue("SH-0000002"));
        Assert.Equal(used, await Issue("SH-0000001"));
    }

    [Fact]
    public async Task Gives_no_number_up_without_reason_or_twice_or_from_a_unit()
    {
        var serial = await Issue("SH-0000001");
        Task<string> Reason(string which, string reason) =>
            ledger.Write(t => SerialBook.Void(t, which, reason, "st130", Sample.Start, "p1").Refused?.Reason ?? "");

        Assert.Equal("A serial number is given up only with a reason.", await Reason(serial, " "));
        Assert.Equal("Serial number AL8525999999X was never issued.", await Reason("AL8525999999X", "spoiled"));
        Assert.Equal("", await Reason(serial, "spoiled"));
        Assert.Equal($"Serial number {serial} is void and cannot be given up.", await Reason(serial, "spoiled"));
    }
}
