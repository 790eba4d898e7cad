using System.Net;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using Roadproof.Plant.Riders;

namespace Roadproof.App.Tests.Server;

/// <summary>Rides sent in through their door, what the road's door and pages make of them, and a ride that is let go.</summary>
public sealed class RideDoorTests
{
    static readonly IReadOnlyList<SentRide> Rides = DemoRides.Of(1, new(2031, 3, 4, 6, 0, 0, TimeSpan.FromHours(1)));
    static readonly SentRide Short = Rides.Single(r => r.Name == "city-errand.csv"), Track = Rides.Single(r => r.Name == "city-rain.gpx");

    [Fact]
    public async Task A_file_is_kept_once_whatever_it_is_called_and_a_broken_one_is_refused_with_its_reasons()
    {
        await using var line = await ServedLine.Start();
        var first = await Kept(line, Short);
        Assert.Equal((1, 0, 0), Counts(first));
        // What a program that posts a body calls it does not matter.
        var again = await Kept(line, Short with { Name = "another-name.csv" }, "application/x-www-form-urlencoded");
        Assert.Equal((0, 1, 0), Counts(again));
        Assert.Equal(Ride(first), Ride(again));

        using (var broken = await Send(line, new SentRide("broken.csv", Encoding.UTF8.GetBytes("timestamp,speed\n2031-03-04T06:00:00Z,12\n2031-03-04T05:00:00Z,fast\n"))))
        {
            Assert.Equal(HttpStatusCode.BadRequest, broken.StatusCode);
            var errors = (await ServedLine.Read(broken)).GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("column").GetString()).ToList();
            Assert.Equal(["speed", "time"], errors.Order(StringComparer.Ordinal));
        }

        var facts = Assert.Single((await line.Get("api/v1/rides")).GetProperty("rides").EnumerateArray());
        Assert.Equal(("city-errand.csv", "rider-1"), (facts.GetProperty("name").GetString(), facts.GetProperty("sentBy").GetString()));
        var table = await line.Http.GetStringAsync(new Uri($"api/v1/rides/{Ride(first)}/file", UriKind.Relative), TestContext.Current.CancellationToken);
        Assert.StartsWith("recording_piece,elapsed_time [s],distance [m],elevation [m],", table, StringComparison.Ordinal);
        Assert.DoesNotContain("-48.", table, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Many_files_of_one_form_are_each_kept_or_told_why_not()
    {
        await using var line = await ServedLine.Start();
        using var form = new MultipartFormDataContent { { new ByteArrayContent(Short.Octets), "files", Short.Name }, { new ByteArrayContent(Track.Octets), "files", Track.Name }, { new ByteArrayContent([]), "files", "empty.gpx" } };
        using var answer = await line.Http.PostAsync(new Uri("api/v1/rides", UriKind.Relative), form, TestContext.Current.CancellationToken);
        var said = await ServedLine.Read(answer);
        Assert.Equal((HttpStatusCode.OK, (2, 0, 1)), (answer.StatusCode, Counts(said)));
        Assert.Equal("an empty file", said.GetProperty("files")[2].GetProperty("errors")[0].GetProperty("found").GetString());
    }

    [Fact]
    public async Task What_the_rides_ask_of_a_unit_follows_the_settings_and_the_rides_that_are_there()
    {
        await using var line = await ServedLine.Start();
        var ride = Ride(await Kept(line, Short));
        await Kept(line, Track);
        var usual = await line.Get("api/v1/road?wait=true");
        Assert.Equal((2, 2), (usual.GetProperty("rides").GetInt32(), usual.GetProperty("workedOut").GetInt32()));
        Assert.NotEmpty(usual.GetProperty("elements").EnumerateArray());
        var heavy = await line.Get("api/v1/road?wait=true&riderMassKg=130&assist=3");
        Assert.True(Number(heavy, "motorEnergyJ") > 1.2 * Number(usual, "motorEnergyJ"));
        Assert.Equal(Number(usual, "distanceM"), Number(heavy, "distanceM"));

        // One ride less: its figures are gone, the other's stay to the last digit.
        using (var gone = await line.Http.DeleteAsync(new Uri($"api/v1/rides/{ride}?person=k7f2", UriKind.Relative), TestContext.Current.CancellationToken)) Assert.Equal(HttpStatusCode.OK, gone.StatusCode);
        var less = await line.Get("api/v1/road?wait=true");
        Assert.Equal(1, less.GetProperty("workedOut").GetInt32());
        await using var alone = await ServedLine.Start();
        await Kept(alone, Track);
        Assert.Equal((await alone.Get("api/v1/road?wait=true")).GetRawText(), less.GetRawText());

        using var wrong = await line.Http.GetAsync(new Uri("api/v1/road?product=nothing&cdaM2=0,5&riderMassKg=-1", UriKind.Relative), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
        Assert.Equal(["product", "cdaM2", "riderMassKg"], (await ServedLine.Read(wrong)).GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("column").GetString()));
        foreach (var path in new[] { $"api/v1/rides/{ride}", $"api/v1/rides/{ride}/file", "api/v1/rides/..%2Frecords" })
        {
            using var missing = await line.Http.GetAsync(new Uri(path, UriKind.Relative), TestContext.Current.CancellationToken);
            Assert.Equal(HttpStatusCode.NotFound, missing.StatusCode);
        }
    }

    [Fact]
    public async Task The_page_answers_without_rides_while_they_are_worked_out_and_with_them()
    {
        await using var line = await ServedLine.Start();
        var empty = await line.Page("road");
        Assert.Contains("No ride yet.", empty, StringComparison.Ordinal);
        Assert.Contains("data-send-rides", empty, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", empty, StringComparison.Ordinal);

        var ride = Ride(await Kept(line, Short));
        var page = await line.Page("road?wait=true&assist=2.5");
        Assert.Contains("What breaks first", page, StringComparison.Ordinal);
        Assert.Contains($"/road/rides/{ride}?product=af-85&amp;assist=2.5", page, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);
        Assert.DoesNotContain("∞", page, StringComparison.Ordinal);

        var wrong = await line.Page("road?crr=soft");
        Assert.Contains("Rolling resistance: found &#x27;soft&#x27;", wrong, StringComparison.Ordinal);

        var one = await line.Page($"road/rides/{ride}");
        foreach (var picture in new[] { "Elevation", "Gradient", "Speed", "Torque", "Temperature", "wheel rim", "Out of the battery", "Charge left" }) Assert.Contains(picture, one, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", one, StringComparison.Ordinal);
        await line.Page("road/rides/0123456789abcdef", HttpStatusCode.NotFound);
    }

    [Fact]
    public async Task A_form_sends_rides_shows_what_became_of_each_and_lets_one_go()
    {
        await using var line = await ServedLine.Start();
        var page = await line.Page("road");
        using var form = new MultipartFormDataContent
        {
            { new StringContent(Field(page, "__RequestVerificationToken")), "__RequestVerificationToken" }, { new StringContent("screen-1"), "key" }, { new StringContent("product=af-85&assist=2"), "settings" }, { new StringContent("k7f2"), "person" },
            { new ByteArrayContent(Short.Octets), "files", Short.Name }, { new ByteArrayContent([0, 1, 2]), "files", "<b>no ride" },
        };
        using var answer = await line.Http.PostAsync(new Uri("road/rides", UriKind.Relative), form, TestContext.Current.CancellationToken);
        Assert.Equal("/road?product=af-85&assist=2&sent=screen-1#send", answer.Headers.Location?.OriginalString);
        var told = await line.Page("road?product=af-85&assist=2&sent=screen-1");
        Assert.Contains("1 ride kept, 0 there already, 1 refused.", told, StringComparison.Ordinal);
        Assert.Contains("found a binary file", told, StringComparison.Ordinal);
        Assert.DoesNotContain("<b>no ride", told, StringComparison.Ordinal);

        var ride = Assert.Single((await line.Get("api/v1/rides")).GetProperty("rides").EnumerateArray()).GetProperty("id").GetString()!;
        using var go = new FormUrlEncodedContent([new("__RequestVerificationToken", Field(page, "__RequestVerificationToken")), new("person", "k7f2"), new("settings", "")]);
        using var gone = await line.Http.PostAsync(new Uri($"road/rides/{ride}/let-go", UriKind.Relative), go, TestContext.Current.CancellationToken);
        Assert.Equal($"/road?gone={ride}", gone.Headers.Location?.OriginalString);
        Assert.Empty((await line.Get("api/v1/rides")).GetProperty("rides").EnumerateArray());

        using var forged = await line.Http.PostAsync(new Uri($"road/rides/{ride}/let-go", UriKind.Relative), new FormUrlEncodedContent([new("person", "k7f2")]), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.BadRequest, forged.StatusCode);
    }

    // Whoever looks while others send and let go sees a sum of what is there, and it ends.
    [Fact]
    public async Task Rides_that_come_and_go_while_they_are_worked_out_end_in_the_sum_of_what_is_there()
    {
        await using var line = await ServedLine.Start();
        var ids = new List<string>();
        for (var i = 0; i < 20; i++)
        {
            ids.Add(Ride(await Kept(line, Short with { Octets = [.. Short.Octets, .. Encoding.UTF8.GetBytes(new string('\n', i))] })));
            await line.Get("api/v1/road");
            if (i % 5 == 4) (await line.Http.DeleteAsync(new Uri($"api/v1/rides/{ids[i - 3]}", UriKind.Relative), TestContext.Current.CancellationToken)).Dispose();
        }

        var sum = await line.Get("api/v1/road?wait=true");
        Assert.Equal((16, 16), (sum.GetProperty("rides").GetInt32(), sum.GetProperty("workedOut").GetInt32()));
        await using var alone = await ServedLine.Start();
        await Kept(alone, Short);
        Assert.Equal(16 * Number(await alone.Get("api/v1/road?wait=true"), "motorEnergyJ"), Number(sum, "motorEnergyJ"), 1e-6 * Number(sum, "motorEnergyJ"));
    }

    static async Task<HttpResponseMessage> Send(ServedLine line, SentRide ride, string type = "application/octet-stream")
    {
        using var body = new ByteArrayContent(ride.Octets);
        body.Headers.ContentType = new(type);
        return await line.Http.PostAsync(new Uri($"api/v1/rides?name={Uri.EscapeDataString(ride.Name)}&person=rider-1", UriKind.Relative), body);
    }

    static async Task<JsonElement> Kept(ServedLine line, SentRide ride, string type = "application/octet-stream")
    {
        using var answer = await Send(line, ride, type);
        var said = await ServedLine.Read(answer);
        Assert.True(answer.IsSuccessStatusCode, said.ToString());
        return said;
    }

    static string Ride(JsonElement answer) => answer.GetProperty("files")[0].GetProperty("ride").GetString()!;

    static (int, int, int) Counts(JsonElement answer) => (answer.GetProperty("kept").GetInt32(), answer.GetProperty("alreadyThere").GetInt32(), answer.GetProperty("refused").GetInt32());

    static double Number(JsonElement answer, string name) => answer.GetProperty(name).GetDouble();

    static string Field(string page, string name) => WebUtility.HtmlDecode(Regex.Match(page, $"name=\"{name}\" value=\"([^\"]+)\"", RegexOptions.None, TimeSpan.FromSeconds(5)).Groups[1].Value);
}
