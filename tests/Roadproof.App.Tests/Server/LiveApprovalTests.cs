using System.Net;

namespace Roadproof.App.Tests.Server;

/// <summary>A line that is being served takes new definitions: new units start on them, units on the way keep theirs.</summary>
public sealed class LiveApprovalTests
{
    [Fact]
    public async Task A_unit_on_the_way_keeps_its_revision_and_the_next_one_starts_on_the_new()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-1", "rotor-in");
        var files = Files(("routes/af-85.yaml", "upper: 400", "upper: 380"));

        var check = await Sent(line, "api/v1/definitions/check", new { files });
        var change = Assert.Single(check.GetProperty("lines")[0].GetProperty("changes").EnumerateArray().ToList());
        Assert.Equal(("limit", false), (change.GetProperty("kind").GetString(), change.GetProperty("wider").GetBoolean()));
        Assert.Equal("af-85/1", line.Line.Standing[0].Id);

        var approved = await Sent(line, "api/v1/definitions/approve", new { files, person = "k7f2", reason = "press wears", seen = check.GetProperty("seen").GetString() });
        Assert.Equal("af-85/2", approved.GetProperty("revision").GetString());

        await line.Build("SH-2", "rotor-in");
        var rows = (await line.Get("api/v1/revisions")).GetProperty("revisions").EnumerateArray()
            .Select(r => (r.GetProperty("revision").GetString(), r.GetProperty("state").GetString(), r.GetProperty("reason").GetString(), r.GetProperty("unitsStarted").GetInt32(), r.GetProperty("unitsOnTheWay").GetInt32()));
        Assert.Equal([("af-85/2", "standing", "press wears", 1, 1), ("af-85/1", "replaced", "", 1, 1)], rows);
        using var on = await line.Send("st30", line.Finish("SH-1", "rotor-in"));
        Assert.Equal(HttpStatusCode.OK, on.StatusCode);
    }

    [Fact]
    public async Task A_station_that_came_with_a_later_revision_works_on_units_of_an_earlier_one()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-1", "rotor-in");
        await Sent(line, "api/v1/definitions/approve", new { files = Files(("plant.yaml", "      - { id: st40,", "      - { id: st31, name: Second guide, step: rotor-in }\n      - { id: st40,")), person = "k7f2" });
        using var done = await line.Send("st31", line.Finish("SH-1", "rotor-in"));
        Assert.Equal(HttpStatusCode.OK, done.StatusCode);
    }

    [Fact]
    public async Task A_station_shows_the_needs_of_the_unit_that_is_there_by_its_own_revision()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-1", "rotor-in");
        (await line.Send("st30", line.Begin("SH-1", "rotor-in"))).EnsureSuccessStatusCode();
        await Sent(line, "api/v1/definitions/approve", new { files = Files(("routes/af-85.yaml", "name: Largest insertion force", "name: Force of the press")), person = "k7f2" });
        Assert.Equal("Read largest insertion force", await Need(line));

        (await line.Send("st30", line.Finish("SH-1", "rotor-in"))).EnsureSuccessStatusCode();
        Assert.Equal("Read force of the press", await Need(line));

        static async Task<string?> Need(ServedLine line) => (await line.Get("api/v1/stations/st30")).GetProperty("needs").EnumerateArray().Single(n => n.GetProperty("id").GetString() == "insertion-force").GetProperty("say").GetString();
    }

    [Fact]
    public async Task A_withdrawn_line_starts_no_unit_and_finishes_those_it_has()
    {
        await using var line = await ServedLine.Start();
        await Sent(line, "api/v1/definitions/approve", new { files = Named(PlantFolder.Files), person = "k7f2" });
        (await line.Post("api/v1/lots", new { key = "lot-m", lot = "M-1", part = "magnet", quantity = 500, occurredAt = DateTimeOffset.Now })).EnsureSuccessStatusCode();
        await Magnets(line, "RT-1", HttpStatusCode.OK);

        var files = Named(DemoFolder.Files);
        using var silent = await line.Post("api/v1/definitions/approve", new { files, person = "k7f2" });
        Assert.Equal(HttpStatusCode.Conflict, silent.StatusCode);
        var left = Assert.Single((await Sent(line, "api/v1/definitions/check", new { files })).GetProperty("leftOut").EnumerateArray().ToList());
        Assert.Equal(("rotor-85", 1), (left.GetProperty("product").GetString(), left.GetProperty("unitsOnTheWay").GetInt32()));
        await Sent(line, "api/v1/definitions/approve", new { files, person = "k7f2", reason = "rotors are bought", withdraw = new[] { "rotor-85" } });

        var refused = await Magnets(line, "RT-2", HttpStatusCode.Conflict);
        Assert.Equal("Rotor is withdrawn: rotors are bought. No new unit starts on it.", refused.GetProperty("title").GetString());
        using var through = await line.Post("api/v1/stations/rc20/messages", new { key = "r-b", kind = "request", item = "RT-1", step = "balance", occurredAt = DateTimeOffset.Now, readings = new[] { new { id = "unbalance", value = 1.2, unit = "g·mm" } } });
        Assert.Equal(HttpStatusCode.OK, through.StatusCode);

        // Through its last unit, the line leaves the plant.
        Assert.Equal(["af-85/3"], line.Line.Standing.Select(r => r.Id));
    }

    [Fact]
    public async Task Files_with_mistakes_are_answered_with_every_place()
    {
        await using var line = await ServedLine.Start();
        using var response = await line.Post("api/v1/definitions/check", new { files = Files(("plant.yaml", "taktS: 57", "taktS: 0"), ("plant.yaml", "step: rotor-in", "step: rotor-im")) });
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.Equal(2, (await ServedLine.Read(response)).GetProperty("errors").GetArrayLength());
    }

    [Fact]
    public async Task A_revision_to_come_takes_over_when_the_plant_clock_says_so()
    {
        await using var line = await ServedLine.Start();
        var from = line.Line.Clock.GetUtcNow().AddHours(2);
        await Sent(line, "api/v1/definitions/approve", new { files = Files(("plant.yaml", "taktS: 57", "taktS: 50")), person = "k7f2", from });
        Assert.Equal("af-85/1", line.Line.Standing[0].Id);
        line.Wait(TimeSpan.FromHours(2));
        Assert.Equal("af-85/2", line.Line.Standing[0].Id);
    }

    static async Task<System.Text.Json.JsonElement> Magnets(ServedLine line, string unit, HttpStatusCode expected)
    {
        using var said = await line.Post("api/v1/stations/rc10/messages", new { key = $"m-{unit}", kind = "request", item = unit, step = "magnets-in", occurredAt = DateTimeOffset.Now, parts = new[] { new { part = "magnet", lot = "M-1" } } });
        Assert.Equal(expected, said.StatusCode);
        return await ServedLine.Read(said);
    }

    static async Task<System.Text.Json.JsonElement> Sent(ServedLine line, string path, object body)
    {
        using var response = await line.Post(path, body);
        var answer = await ServedLine.Read(response);
        Assert.True(response.IsSuccessStatusCode, answer.ToString());
        return answer;
    }

    static object Files(params (string File, string From, string To)[] edits) => Named(DemoFolder.With(edits));

    static object Named(IEnumerable<(string Name, string Text)> files) => files.Select(f => new { name = f.Name, text = f.Text }).ToList();
}
