using System.Net;
using System.Text.RegularExpressions;

namespace Roadproof.App.Tests.Server;

/// <summary>The pages as a browser gets them, over a real connection.</summary>
public sealed partial class PageDoorTests
{
    [Fact]
    public async Task Every_page_answers_and_what_is_not_there_says_so()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-0000001", "gears-in");
        foreach (var path in new[] { "", "stations", "stations/st70", "stations/rig1", "units", "units/SH-0000001", "units?find=SH-0000001", "lots", "lots/L-grease", "follow" })
        {
            var page = await line.Page(path);
            Assert.StartsWith("<!DOCTYPE html>", page.TrimStart(), StringComparison.Ordinal);
            Assert.Contains("Roadproof</title>", page, StringComparison.Ordinal);
            Assert.EndsWith("</html>", page.TrimEnd(), StringComparison.Ordinal);
        }

        foreach (var file in new[] { "css/tokens.css", "js/live.js", "icon.svg" }) (await line.Http.GetAsync(new Uri(file, UriKind.Relative))).EnsureSuccessStatusCode();
        Assert.Contains("SH-0000001", await line.Page("units/SH-0000001"), StringComparison.Ordinal);
        Assert.Contains("SH-0000001", await line.Page("stations/st70"), StringComparison.Ordinal);
        Assert.Contains("No station st99", await line.Page("stations/st99", HttpStatusCode.NotFound), StringComparison.Ordinal);
        Assert.Contains("No unit SH-9", await line.Page("units/SH-9", HttpStatusCode.NotFound), StringComparison.Ordinal);
        Assert.Contains("Roadproof", await line.Page("nonsense", HttpStatusCode.NotFound), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_a_scanner_sends_is_shown_as_text_and_never_as_markup()
    {
        await using var line = await ServedLine.Start();
        const string code = "SH<script>alert(1)</script>&\"'";
        (await line.Send("st10", line.Finish(code, "shell-in"))).EnsureSuccessStatusCode();
        foreach (var path in new[] { "", "units", $"units/{Uri.EscapeDataString(code)}", "stations/st20", $"units?find={Uri.EscapeDataString(code)}", $"lots?find={Uri.EscapeDataString(code)}" })
        {
            var page = await line.Page(path);
            Assert.DoesNotContain("<script>alert", page, StringComparison.OrdinalIgnoreCase);
            if (path.Length > 0) Assert.Contains("&lt;script&gt;alert(1)", page, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_person_builds_a_step_by_scanning()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-0000001", "gears-in");
        Assert.Contains("Scan a unit", await line.Page("stations/st70"), StringComparison.Ordinal);
        Assert.Contains("Scan the gear set", await Scan(line, "st70", "SH-0000001"), StringComparison.Ordinal);

        var refused = await Scan(line, "st70", "L-gear-set-339");
        Assert.Contains("Stop.", refused, StringComparison.Ordinal);
        Assert.Contains("ratio 36.18", refused, StringComparison.Ordinal);
        Assert.Contains("Nothing was recorded as fitted", refused, StringComparison.Ordinal);
        Assert.Contains("Stop.", await Scan(line, "st70", "L-nobody-knows"), StringComparison.Ordinal);

        // The right one answers the refusal: what to do next stands there again.
        Assert.Contains("Scan the clutch tray", await Scan(line, "st70", "L-gear-set"), StringComparison.Ordinal);
        Assert.Contains("Scan the grease drum", await Scan(line, "st70", "L-clutch"), StringComparison.Ordinal);
        Assert.Contains("Read grease dosed", await Scan(line, "st70", "L-grease"), StringComparison.Ordinal);
        Assert.Contains("is not a number", WebUtility.HtmlDecode(await Scan(line, "st70", "twelve")), StringComparison.Ordinal);
        Assert.Contains("Finish the step", await Scan(line, "st70", "12.0"), StringComparison.Ordinal);
        Assert.Contains("is not the unit that is here", await Scan(line, "st70", "SH-0000002"), StringComparison.Ordinal);
        Assert.Contains("Scan a unit", await Scan(line, "st70", "SH-0000001"), StringComparison.Ordinal);

        var unit = await line.Get("api/v1/units/SH-0000001");
        var step = unit.GetProperty("steps").EnumerateArray().Single(s => s.GetProperty("step").GetString() == "gears-in");
        Assert.Equal("pass", step.GetProperty("state").GetString());
        Assert.Equal(["L-clutch", "L-gear-set", "L-grease"], unit.GetProperty("parts").EnumerateArray().Where(p => p.GetProperty("step").GetString() == "gears-in").Select(p => p.GetProperty("lot").GetString()).Order());
    }

    [Fact]
    public async Task A_lot_is_brought_to_a_station_by_scanning_it_there_and_starts_no_unit()
    {
        await using var line = await ServedLine.Start();
        var free = await Scan(line, "st70", "L-grease");
        Assert.Contains("Lots here", free, StringComparison.Ordinal);
        Assert.Contains("500 left", free, StringComparison.Ordinal);
        Assert.Contains("Stator does not belong to", await Scan(line, "st10", "L-stator"), StringComparison.Ordinal);
        Assert.Equal(0, (await line.Get("api/v1/units")).GetProperty("total").GetInt32());
        Assert.Equal("st70", (await line.Get("api/v1/lots/L-grease")).GetProperty("station").GetString());
    }

    [Fact]
    public async Task A_file_with_mistakes_is_answered_with_a_page_that_lists_them()
    {
        await using var line = await ServedLine.Start();
        var page = await line.Page("lots");
        using var said = new MultipartFormDataContent();
        foreach (var (name, value) in Form(page)) said.Add(new StringContent(value), name);
        said.Add(new StringContent("lot,part,quantity\nD-1,greese,0\n"), "file", "delivery.csv");
        using var form = new HttpRequestMessage(HttpMethod.Post, "lots/receive-file") { Content = said };
        form.Headers.Referrer = new Uri(line.Http.BaseAddress!, "lots");
        using var answer = await line.Http.SendAsync(form);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        var words = WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        foreach (var sentence in new[] { "<li>delivery.csv:2: quantity: found '0', expected", "<li>delivery.csv:2: part: found 'greese', expected", "href=\"/lots\"" }) Assert.Contains(sentence, words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_lot_is_split_mixed_and_brought_from_its_page_and_what_cannot_be_says_why()
    {
        await using var line = await ServedLine.Start();
        var page = await line.Page("lots/L-grease");
        Assert.Equal("/lots/D-1", await Post(line, "lots/L-grease/split", Form(page, ("key", "p1"), ("quantity", "100"), ("into", " D-1 "))));
        Assert.Equal("/lots/M-1", await Post(line, "lots/L-grease/mix", Form(page, ("key", "p2"), ("quantity", "10"), ("with", "D-1"), ("withQuantity", "20"), ("into", "M-1"))));
        Assert.Equal("/lots/M-1", await Post(line, "lots/M-1/bring", Form(page, ("key", "p3"), ("station", "st70"))));
        var mixed = WebUtility.HtmlDecode(await line.Page("lots/M-1"));
        foreach (var told in new[] { "at st70", "href=\"/lots/D-1\"", "href=\"/lots/L-grease\"", "all suspect until one is shown to be the cause" }) Assert.Contains(told, mixed, StringComparison.Ordinal);
        Assert.StartsWith("/lots/M-1?refused=Lot%20D-1%20is%20known", await Post(line, "lots/M-1/split", Form(page, ("key", "p4"), ("quantity", "5"), ("into", "D-1"))), StringComparison.Ordinal);
        Assert.Equal("/lots?received=1", await Post(line, "lots/receive", Form(page, ("key", "p5"), ("lot", "D-7"), ("part", "grease"), ("quantity", "5"), ("expires", "2099-03-04"))));
        Assert.StartsWith("/lots?refused=Lot%20D-7%20was", await Post(line, "lots/receive", Form(page, ("key", "p6"), ("lot", "D-7"), ("part", "grease"), ("quantity", "5"), ("expires", ""))), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_scan_without_the_page_s_own_token_is_not_taken()
    {
        await using var line = await ServedLine.Start();
        var before = line.Line.Ledger.Head;
        using var form = new FormUrlEncodedContent(new Dictionary<string, string> { ["code"] = "SH-0000001", ["needId"] = "unit" });
        using var response = await line.Http.PostAsync(new Uri("stations/st10/scan", UriKind.Relative), form);
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.Equal(before, line.Line.Ledger.Head);
    }

    [Fact]
    public async Task A_decision_that_is_sent_twice_counts_once_and_is_not_refused()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-0000001", "rotor-in");
        foreach (var (path, act) in new[] { ("units/SH-0000001", "hold"), ("lots/L-stator", "hold"), ("lots/L-stator", "release"), ("units/SH-0000001", "release") })
        {
            var said = Form(await line.Page(path), ("act", act), ("reason", "looked at by hand"), ("backTo", ""));
            Assert.Equal("/" + path, await Decide(line, path, said));
            var after = line.Line.Ledger.Head;
            Assert.Equal("/" + path, await Decide(line, path, said));
            Assert.Equal(after, line.Line.Ledger.Head);
        }
    }

    [Fact]
    public async Task A_message_that_was_not_understood_is_shown_with_what_is_wrong_with_it_and_what_was_expected()
    {
        await using var line = await ServedLine.Start();
        using (var answer = await line.PostText("api/v1/stations/st10/messages", """{ "key": "q1", "kind": "wish", "item": "SH-1" }""")) Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        var page = WebUtility.HtmlDecode(await line.Page("quarantine"));
        Assert.Contains("1 message could not be understood.", page, StringComparison.Ordinal);
        Assert.Contains("step: found nothing, expected a field that every message has", page, StringComparison.Ordinal);
        Assert.Equal("/quarantine", await Post(line, "quarantine/1/drop", Form(page)));
        Assert.Contains("Every message was understood.", await line.Page("quarantine"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_form_that_cannot_be_taken_is_answered_with_a_page_in_words()
    {
        await using var line = await ServedLine.Start();
        await line.Build("SH-0000001", "rotor-in");
        var page = await line.Page("units/SH-0000001");
        foreach (var (said, why) in new[]
        {
            (Form("", ("act", "hold"), ("reason", "no token")), "The form could not be read."),
            (Form(page, ("act", "hold"), ("reason", " ")), "reason"),
        })
        {
            using var form = new HttpRequestMessage(HttpMethod.Post, "units/SH-0000001/decide") { Content = new FormUrlEncodedContent(said) };
            form.Headers.Referrer = new Uri(line.Http.BaseAddress!, "units/SH-0000001");
            using var answer = await line.Http.SendAsync(form);
            Assert.Equal((HttpStatusCode.BadRequest, "text/html"), (answer.StatusCode, answer.Content.Headers.ContentType?.MediaType));
            var words = await answer.Content.ReadAsStringAsync();
            Assert.Contains(why, words, StringComparison.Ordinal);
            Assert.Contains("href=\"/units/SH-0000001\"", words, StringComparison.Ordinal);
            Assert.EndsWith("</html>", words.TrimEnd(), StringComparison.Ordinal);
        }
    }

    /// <summary>What a page's form sends: its hidden fields and what the person filled in.</summary>
    static Dictionary<string, string> Form(string page, params (string Name, string Value)[] filled)
    {
        // A page may hold several forms; each has its own key and token, and any of them will do.
        var sent = Hidden().Matches(page).DistinctBy(m => m.Groups[1].Value).ToDictionary(m => m.Groups[1].Value, m => m.Groups[2].Value, StringComparer.Ordinal);
        foreach (var (name, value) in filled) sent[name] = value;
        return sent;
    }

    static Task<string> Decide(ServedLine line, string path, Dictionary<string, string> said) => Post(line, path + "/decide", said);

    static async Task<string> Post(ServedLine line, string path, Dictionary<string, string> said)
    {
        using var form = new FormUrlEncodedContent(said);
        using var answer = await line.Http.PostAsync(new Uri(path, UriKind.Relative), form);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        return answer.Headers.Location!.ToString();
    }

    /// <summary>Types a code into the field of the station's page and sends it, as the scanner's Enter does.</summary>
    static async Task<string> Scan(ServedLine line, string station, string code)
    {
        var page = await line.Page($"stations/{station}");
        using var form = new FormUrlEncodedContent(new Dictionary<string, string> { ["__RequestVerificationToken"] = Token().Match(page).Groups[1].Value, ["code"] = code, ["needId"] = Need().Match(page).Groups[1].Value });
        using var response = await line.Http.PostAsync(new Uri($"stations/{station}/scan", UriKind.Relative), form);
        Assert.Equal(HttpStatusCode.Redirect, response.StatusCode);
        return await line.Page(response.Headers.Location!.ToString().TrimStart('/'));
    }

    [GeneratedRegex("name=\"__RequestVerificationToken\" value=\"([^\"]+)\"")]
    private static partial Regex Token();

    [GeneratedRegex("<input type=\"hidden\" name=\"([^\"]+)\" value=\"([^\"]+)\"")]
    private static partial Regex Hidden();

    [GeneratedRegex("name=\"needId\" value=\"([^\"]+)\"")]
    private static partial Regex Need();
}
