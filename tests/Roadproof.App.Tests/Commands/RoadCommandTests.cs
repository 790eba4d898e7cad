namespace Roadproof.App.Tests.Commands;

/// <summary>
/// The road commands through their door. Powers: checks 9-5 and 9-6, recomputed outside the project from the form of Martin et al. 1998. Rides: real recordings that
/// nobody here made, read only where they lie; their lengths were recomputed by an independent script (Karney's geodesic, fixes that imply more than 20 m/s dropped).
/// </summary>
public sealed class RoadCommandTests
{
    // check 9-6, and the first of 9-5
    [Theory]
    [InlineData("--speed-mps 4 --gradient 0.08 --mass-kg 110 --cda-m2 0.6 --fw-m2 0 --crr 0.006 --density-kg-m3 1.225 --efficiency 1 --g-mps2 9.81", 23.52000, 25.81592, 0.50320, 344.21228, 394.05140)]
    [InlineData("--speed-mps 5 --mass-kg 90 --cda-m2 0.2565 --fw-m2 0.0044 --crr 0.0032 --density-kg-m3 1.2234 --efficiency 0.976 --g-mps2 9.81", 19.949066, 14.126400, 0.672500, 0, 35.602424)]
    public async Task Power_is_the_published_form_term_by_term(string words, double airW, double rollingW, double bearingW, double gravityW, double totalW)
    {
        var said = await Typed.Line($"road power {words} --json");
        Assert.Equal(0, said.Exit);
        said.HasFields("totalW", "airW", "rollingW", "bearingW", "gravityW", "kineticW");
        Assert.Equal(
            [airW, rollingW, bearingW, gravityW, 0, totalW],
            new[] { "airW", "rollingW", "bearingW", "gravityW", "kineticW", "totalW" }.Select(said.Number), (a, b) => Math.Abs(a - b) < 1e-4);
    }

    // Headwind is positive: riding at 5 m/s into 3 m/s the air term is 5 · 8² / 5³ of that in still air.
    [Fact]
    public async Task Headwind_is_positive_and_acceleration_costs_its_energy()
    {
        var still = await Typed.Line("road power --speed-mps 5 --json");
        var windy = await Typed.Line("road power --speed-mps 5 --wind-mps 3 --json");
        Assert.Equal(64.0 / 25, windy.Number("airW") / still.Number("airW"), 1e-9);

        var faster = await Typed.Line("road power --speed-mps 5 --acceleration-mps2 0.2 --mass-kg 100 --wheel-inertia-kg-m2 0.14 --wheel-radius-m 0.311 --json");
        Assert.Equal((100 + 0.14 / (0.311 * 0.311)) * 0.2 * 5, faster.Number("kineticW"), 1e-9);
    }

    [Theory]
    [InlineData("--speed-mps -4 --efficiency 0 --mass-kg -3", "speedMps: found -4", "efficiency: found 0", "massKg: found -3")]
    [InlineData("--speed-mps NaN --gradient Infinity", "speedMps: found NaN", "gradient: found Infinity")]
    public async Task Numbers_that_cannot_be_are_all_said_at_once(string words, params string[] sentences) => (await Typed.Line($"road power {words}")).IsWrong(sentences);

    public static TheoryData<string, double> Rides => new()
    {
        { "commute/trip-01.csv", 4824.04 }, { "commute/trip-02.csv", 4167.62 }, { "commute/trip-03.csv", 289.03 }, { "commute/trip-04.csv", 2809.91 }, { "commute/trip-05.csv", 9731.11 },
        { "commute/trip-06.csv", 2665.16 }, { "commute/trip-07.csv", 1359.31 }, { "commute/trip-08.csv", 1324.56 }, { "commute/trip-09.csv", 1688.17 }, { "commute/trip-10.csv", 3542.04 },
        { "commute/trip-11.csv", 1878.68 }, { "commute/trip-12.csv", 2702.97 }, { "commute/trip-13.csv", 2721.58 }, { "commute/trip-14.csv", 2831.08 }, { "commute/trip-15.csv", 1695.81 },
        { "commute/trip-16.csv", 2863.90 }, { "commute/trip-17.csv", 2968.42 }, { "commute/trip-18.csv", 2782.82 }, { "outdoor/hilly-power.gpx", 57655.68 }, { "outdoor/short-below-sea.gpx", 901.66 },
    };

    [Theory, MemberData(nameof(Rides))]
    public async Task A_recorded_ride_is_as_long_as_an_independent_script_says(string file, double lengthM)
    {
        var said = await Typed.Words("road", "load", Path.Combine(DataSets.Folder("rides"), file), "--product", "af-85", "--json");
        Assert.Equal(0, said.Exit);
        said.HasFields("rides", "riderEnergyJ", "motorEnergyJ", "peakMotorTorqueNm", "peakWindingC", "cycles", "revolutionsAtTorque", "damage");
        Assert.All(said.Json.GetProperty("cycles").EnumerateArray(), c => Assert.Equal(["rangeNm", "meanNm", "count"], c.EnumerateObject().Select(f => f.Name)));
        var ride = said.Json.GetProperty("rides")[0];
        Assert.Equal(lengthM, ride.GetProperty("distanceM").GetDouble(), 0.001 * lengthM);
        Assert.InRange(ride.GetProperty("meanSpeedMps").GetDouble(), 2, 10);
        Assert.True(ride.GetProperty("movingTimeS").GetDouble() > 0);
        Assert.InRange(said.Number("peakMotorTorqueNm"), 0, 85);
        Assert.Equal("", said.Error);
    }

    [Fact]
    public async Task Several_rides_add_up()
    {
        var folder = DataSets.Folder("rides");
        string[] files = ["commute/trip-03.csv", "commute/trip-08.csv", "outdoor/short-below-sea.gpx"];
        var together = await Typed.Words(["road", "load", .. files.Select(f => Path.Combine(folder, f)), "--product", "af-85", "--json"]);
        var apart = new List<Typed>();
        foreach (var file in files) apart.Add(await Typed.Words("road", "load", Path.Combine(folder, file), "--product", "af-85", "--json"));

        Assert.Equal(3, together.Json.GetProperty("rides").GetArrayLength());
        Assert.Equal(apart.Sum(a => a.Number("riderEnergyJ")), together.Number("riderEnergyJ"), 1e-6);
        Assert.Equal(apart.Sum(a => a.Number("motorEnergyJ")), together.Number("motorEnergyJ"), 1e-6);
        Assert.Equal(apart.Max(a => a.Number("peakMotorTorqueNm")), together.Number("peakMotorTorqueNm"), 1e-9);
        Assert.Equal(apart.Sum(Revolutions), Revolutions(together), 1e-6);
    }

    /// <summary>Starts up a slope of 10 %, then over and over from 6 m/s to 7.5 and back: an assistance that ends at 25 km/h (6.94 m/s) cuts off as often.</summary>
    internal static string HandMade(int starts, int cutOffs)
    {
        var (text, second, wayM, heightM) = (new System.Text.StringBuilder("seconds,speed [m/s],distance [m],elevation [m]\n"), 0, 0.0, 100.0);
        for (var n = 0; n < starts; n++)
        {
            Ride(20, 0, 0);
            for (var v = 1; v <= 4; v++) Ride(1, v, 0.1);
            Ride(40, 4, 0.1);
            for (var v = 3; v >= 1; v--) Ride(1, v, 0);
        }

        Ride(10, 0, 0);
        for (var v = 1; v <= 12; v++) Ride(1, 0.5 * v, 0.02);
        for (var n = 0; n < cutOffs; n++)
        {
            Ride(40, 6, 0.02);
            for (var v = 0; v < 5; v++) Ride(1, 6.2 + 0.3 * v, 0.02);
            Ride(30, 7.5, 0.02);
            for (var v = 0; v < 5; v++) Ride(1, 7.3 - 0.3 * v, 0.02);
        }

        Ride(20, 6, 0.02);
        Ride(10, 0, 0);
        return text.ToString();

        void Ride(int seconds, double mps, double slope)
        {
            for (var s = 0; s < seconds; s++, second++)
            {
                text.Append(System.Globalization.CultureInfo.InvariantCulture, $"{second},{mps:0.###},{wayM:0.###},{heightM:0.###}\n");
                wayM += mps;
                heightM += mps * slope;
            }
        }
    }

    [Fact]
    public async Task Starts_cut_offs_and_swings_of_a_known_ride_are_counted_summed_and_carried_on()
    {
        using var place = new Folder();
        var (one, other) = (place.Write("one.csv", HandMade(3, 4)), place.Write("other.csv", HandMade(1, 2)));
        string[] strong = ["--product", "af-85", "--assist", "3", "--rider-mass-kg", "110"];
        var together = await Typed.Words(["road", "load", one, other, .. strong, "--json"]);
        Assert.Equal(0, together.Exit);
        var rides = together.Json.GetProperty("rides").EnumerateArray().ToList();
        Assert.Equal([(3.0, 4.0), (1.0, 2.0)], rides.Select(r => (r.GetProperty("fullStarts").GetDouble(), r.GetProperty("cutOffs").GetDouble())));
        Assert.Equal((4, 6), (together.Number("fullStarts"), together.Number("cutOffs")));

        // The winding warms from the air's temperature to its highest and cools back: no swing is wider, by half a class of at least half a kelvin.
        foreach (var r in rides) Assert.Equal(r.GetProperty("peakWindingC").GetDouble() - 15, r.GetProperty("widestWindingSwingK").GetDouble(), 0.51);
        foreach (var swings in new[] { "windingSwings", "controllerSwings" })
        {
            var apart = 0.0;
            foreach (var file in new[] { one, other }) apart += Swings((await Typed.Words(["road", "load", file, .. strong, "--json"])).Json.GetProperty(swings));
            Assert.Equal(apart, Swings(together.Json.GetProperty(swings)), 1e-9);
            Assert.True(apart >= 2);
        }

        // As often in 20 000 km as these rides' kilometres go into it.
        var (life, times) = (together.Json.GetProperty("life"), 20_000_000 / together.Number("distanceM"));
        Assert.Equal(4 * times, life.GetProperty("fullStarts").GetDouble(), 1e-6 * times);
        Assert.Equal(6 * times, life.GetProperty("cutOffs").GetDouble(), 1e-6 * times);
        var interval = life.GetProperty("cutOffsInterval");
        Assert.InRange(6 * times, interval.GetProperty("lower").GetDouble(), interval.GetProperty("upper").GetDouble());
        Assert.Equal(times * Swings(together.Json.GetProperty("windingSwings")), Swings(life.GetProperty("windingSwings")), 1e-6 * times);

        // Nobody starts at full torque with little help.
        Assert.Equal(0, (await Typed.Words("road", "load", one, "--product", "af-85", "--assist", "0.5", "--json")).Number("fullStarts"));

        var read = await Typed.Words(["road", "load", one, other, .. strong]);
        foreach (var words in new[] { "starts at full torque", "carried on to 20,000 km", "swings of at least K", "bearing's P, N" }) Assert.Contains(words, read.Output);
        Assert.Matches(@"together\s+4\s+6", read.Output);

        static double Swings(System.Text.Json.JsonElement swings) => swings.EnumerateArray().Sum(s => s.GetProperty("count").GetDouble());
    }

    [Fact]
    public async Task The_load_that_a_bearing_carries_stands_beside_its_life_and_beside_no_other()
    {
        var said = await Typed.Words("road", "load", Path.Combine(Outdoor, "short-below-sea.gpx"), "--product", "af-85", "--json");
        foreach (var d in said.Json.GetProperty("damage").EnumerateArray())
        {
            var carried = d.GetProperty("equivalentN");
            if (d.GetProperty("element").GetString()!.StartsWith("bearing-", StringComparison.Ordinal)) Assert.InRange(carried.GetDouble(), 10, 5000);
            else Assert.Equal(System.Text.Json.JsonValueKind.Null, carried.ValueKind);
        }
    }

    static double Revolutions(Typed said) => said.Json.GetProperty("revolutionsAtTorque").EnumerateArray().Sum(c => c.GetProperty("revolutions").GetDouble());

    // No file may crash, be taken silently for something it is not, or be refused without a reason. What has no times, or less than a second of them, loads nothing: route.gpx, track-with-extremes.gpx and track-with-less-sec-time.gpx.
    [Fact]
    public async Task Every_odd_file_loads_with_a_note_or_is_refused_with_a_reason()
    {
        var files = Directory.EnumerateFiles(Path.Combine(DataSets.Folder("rides"), "edge")).Order(StringComparer.Ordinal).ToList();
        var loaded = new List<string>();
        foreach (var file in files)
        {
            var said = await Typed.Words("road", "load", file, "--product", "af-85", "--json");
            if (said.Exit == 0) loaded.Add(Path.GetFileName(file));
            else said.IsWrong(file);
        }

        Assert.Equal(
            [
                "cerknicko-jezero-with-elevations-zero.gpx", "cerknicko-jezero-without-elevations.gpx", "cerknicko-jezero.gpx", "cerknicko-without-times.gpx", "korita-zbevnica.gpx", "sample_mulitple_header.fit",
                "track-with-empty-segment.gpx", "track_with_speed.gpx",
            ],
            loaded);
    }

    // One wrong file among many must not cost the others, and must not go by unseen either.
    [Fact]
    public async Task A_folder_is_read_whole_and_its_wrong_files_are_named()
    {
        using var place = new Folder();
        for (var i = 0; i < 25; i++) place.Write(FormattableString.Invariant($"ride-{i:00}.csv"), FormattableString.Invariant($"time_s,latitude,longitude\n0,48.0,7.0\n10,48.0,7.00{i + 10}\n20,48.0,7.002\n").Replace("time_s", "seconds", StringComparison.Ordinal));
        var words = place.Write("words.csv", "seconds,latitude,longitude\n0,abc,7.1\n1,48.0,7.1\n");
        place.Write("notes.txt", "no ride");
        var named = Path.GetDirectoryName(words)!;
        var said = await Typed.Words("road", "load", named, "--product", "af-85", "--json");
        Assert.Equal(0, said.Exit);
        Assert.Equal(25, said.Json.GetProperty("rides").GetArrayLength());
        var refused = Assert.Single(said.Json.GetProperty("refused").EnumerateArray());
        Assert.Equal((words, "'abc'"), (refused.GetProperty("file").GetString(), refused.GetProperty("errors")[0].GetProperty("found").GetString()));
        Assert.Contains(said.Json.GetProperty("warnings").EnumerateArray(), w => w.GetString() == "1 of 26 files were refused and count for nothing here.");
        Assert.Contains("words.csv:2: latitude: found 'abc'", said.Error);
        Assert.Equal(said.Json.GetProperty("rides").EnumerateArray().Sum(r => r.GetProperty("distanceM").GetDouble()), said.Number("distanceM"), 1e-6);
        Assert.Equal(said.Output, (await Typed.Words("road", "load", named, "--product", "af-85", "--json")).Output);

        var read = await Typed.Words("road", "load", named, "--product", "af-85");
        Assert.Contains("and 5 more", read.Output);
        Assert.Contains("together", read.Output);
        Assert.Contains("in 25 of 25 rides: The file has no elevation", read.Output);
    }

    [Theory]
    [InlineData("hilly-power.fit", 0), InlineData("outdoor-2.fit", 4)]
    public async Task A_fit_is_told_or_it_is_said_that_it_cannot_be(string file, int exit)
    {
        var said = await Typed.Words("road", "fit", Path.Combine(DataSets.Folder("rides"), "outdoor", file), "--rider-mass-kg", "75", "--bike-mass-kg", "8", "--json");
        Assert.Equal(exit, said.Exit);
        Assert.InRange(said.Json.GetProperty("cdaM2").GetProperty("value").GetDouble(), 0.2, 0.4);
        Assert.Equal(exit == 0, said.Json.GetProperty("cannotTell").ValueKind == System.Text.Json.JsonValueKind.Null);
    }

    [Fact]
    public async Task A_fit_asks_for_power() =>
        (await Typed.Words("road", "fit", Path.Combine(DataSets.Folder("rides"), "commute", "trip-01.csv"))).IsWrong("power: found no power, expected a ride with a power meter");

    [Fact]
    public async Task A_folder_without_a_ride_is_refused()
    {
        using var place = new Folder();
        var folder = Path.GetDirectoryName(place.Write("notes.txt", "no ride"))!;
        (await Typed.Words("road", "load", folder, "--product", "af-85")).IsWrong("found a folder without such files");
    }

    [Fact]
    public async Task All_files_that_are_wrong_are_named_at_once()
    {
        using var place = new Folder();
        var empty = place.Write("empty.gpx", "");
        var words = place.Write("words.csv", "time_s,latitude,longitude\n0,abc,7.1\n1,48.0,7.1\n");
        var broken = place.Write("broken.gpx", "<gpx><trk><trkseg><trkpt lat=\"48\" lon=\"7\"><ele>abc</ele>");
        var said = await Typed.Words("road", "load", empty, words, broken, "/no/such/ride.gpx", "--product", "af-85", "--json");
        said.IsWrong(empty, words, broken, "/no/such/ride.gpx: found no such file");
        Assert.Equal("", said.Output[..said.Output.IndexOf('{', StringComparison.Ordinal)]);
    }

    [Fact]
    public async Task A_rider_who_cannot_be_is_refused()
    {
        using var place = new Folder();
        var ride = place.Write("ride.csv", "time_s,latitude,longitude\n0,48.0,7.0\n10,48.0,7.001\n20,48.0,7.002\n");
        (await Typed.Words("road", "load", ride, "--product", "af-85", "--rider-mass-kg", "0", "--assist", "-3")).IsWrong("riderMassKg: found 0", "assist: found -3");
    }

    static string Outdoor => Path.Combine(DataSets.Folder("rides"), "outdoor");

    [Fact]
    public async Task A_cycle_of_ninety_seconds_keeps_the_proportions_of_the_road()
    {
        var said = await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--duration-s", "90", "--assist", "2", "--json");
        Assert.Equal(0, said.Exit);
        said.HasFields("points", "damageRatio", "peakWindingC", "equivalentDistanceM", "presentCycle", "binding");
        var ratios = said.Json.GetProperty("damageRatio").EnumerateObject().Select(r => r.Value.GetDouble()).ToList();
        Assert.True(ratios.Count >= 8);
        Assert.All(ratios, ratio => Assert.InRange(ratio, 1 / 1.2, 1.2));
        Assert.Equal(90, said.Json.GetProperty("points").EnumerateArray().Sum(p => p.GetProperty("holdS").GetDouble()));
        var distance = said.Json.GetProperty("equivalentDistanceM");
        Assert.InRange(distance.GetProperty("value").GetDouble(), distance.GetProperty("interval").GetProperty("lower").GetDouble(), distance.GetProperty("interval").GetProperty("upper").GetDouble());
        Assert.True(said.Json.GetProperty("presentCycle").GetProperty("largestError").GetDouble() > 1);
    }

    [Fact]
    public async Task A_block_for_durability_says_what_an_hour_stands_for()
    {
        var said = await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--durability", "--assist", "2", "--json");
        Assert.Equal(0, said.Exit);
        var perHour = said.Json.GetProperty("equivalentKmPerHour");
        Assert.InRange(perHour.GetProperty("value").GetDouble(), 5, 500);
        Assert.True(perHour.GetProperty("interval").GetProperty("upper").GetDouble() > perHour.GetProperty("interval").GetProperty("lower").GetDouble());
        Assert.True(said.Json.GetProperty("largestError").GetDouble() <= 0.2 || said.Json.GetProperty("binding").GetString() is { Length: > 20 });
    }

    /// <summary>A cycle of one's own is held against the rides as a found one is; an answer is as good as a file.</summary>
    [Fact]
    public async Task Any_two_cycles_stand_beside_each_other()
    {
        using var folder = new Folder();
        var found = await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--duration-s", "90", "--assist", "2", "--json");
        var answer = folder.Write("found.json", found.Output);
        var steady = folder.Write("steady.csv", "torque_nm,speed_rpm,hold_s\n60,60,40\n0,0,20\n");
        var said = await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--cycle", answer, "--beside", steady, answer, "--assist", "2", "--json");
        Assert.Equal(0, said.Exit);
        Assert.Equal(found.Number("largestError"), said.Number("largestError"), 1e-4);
        Assert.Equal(found.Json.GetProperty("equivalentDistanceM").GetProperty("value").GetDouble(), said.Json.GetProperty("equivalentDistanceM").GetProperty("value").GetDouble(), 1.0);
        var besides = said.Json.GetProperty("besides").EnumerateArray().ToList();
        Assert.Equal(["steady.csv", "found.json"], besides.Select(b => b.GetProperty("name").GetString()));
        Assert.Equal(60, besides[0].GetProperty("durationS").GetDouble());
        Assert.True(besides[0].GetProperty("largestError").GetDouble() > 1);
        Assert.Equal(said.Number("largestError"), besides[1].GetProperty("largestError").GetDouble(), 1e-12);

        var words = await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--cycle", answer, "--beside", steady, "--assist", "2");
        Assert.Contains("steady.csv, km", words.Output, StringComparison.Ordinal);
        Assert.Contains("present cycle", words.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_cycle_that_cannot_be_is_refused_at_its_place()
    {
        using var folder = new Folder();
        var wrong = folder.Write("wrong.csv", "torque_nm,speed_rpm,hold_s\n600,60,40\nx,60,1\n");
        (await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--cycle", wrong)).IsWrong("wrong.csv:2: torque_nm", "wrong.csv:3: torque_nm");
        var cut = folder.Write("cut.json", "{ \"points\": [ { \"torqueNm\": 3");
        (await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--cycle", cut)).IsWrong("cut.json:1", "JSON that is cut");
        var other = folder.Write("other.json", "{ \"rides\": 3 }");
        (await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--duration-s", "90", "--beside", other)).IsWrong("other.json", "no points");
        (await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--duration-s", "90", "--cycle", wrong)).IsWrong("a length beside a cycle");
        (await Typed.Words("road", "cycle", Outdoor, "--product", "af-85", "--cycle", "none.csv")).IsWrong("none.csv", "no such file");
    }

    /// <summary>Gears change torque and turns, not the work; a wind changes the work.</summary>
    [Fact]
    public async Task Gears_and_wind_are_told_by_options()
    {
        var ride = Path.Combine(DataSets.Folder("rides"), "commute", "trip-03.csv");
        var usual = await Typed.Words("road", "load", ride, "--product", "af-85", "--json");
        var hub = await Typed.Words("road", "load", ride, "--product", "af-85", "--chainring", "46", "--sprockets", "20", "--hub", "0.5..1.9", "--json");
        Assert.Equal(usual.Number("riderEnergyJ") + usual.Number("motorEnergyJ"), hub.Number("riderEnergyJ") + hub.Number("motorEnergyJ"), 0.001 * usual.Number("motorEnergyJ"));
        Assert.NotEqual(Revolutions(usual), Revolutions(hub));
        var against = await Typed.Words("road", "load", ride, "--product", "af-85", "--headwind-mps", "3", "--json");
        var station = await Typed.Words("road", "load", ride, "--product", "af-85", "--wind-mps", "7", "--wind-from-deg", "90", "--json");
        Assert.True(against.Number("batteryEnergyJ") > 1.2 * usual.Number("batteryEnergyJ"));
        Assert.NotEqual(usual.Number("batteryEnergyJ"), station.Number("batteryEnergyJ"));
        (await Typed.Words("road", "load", ride, "--product", "af-85", "--sprockets", "a", "--hub", "b")).IsWrong("sprockets: found 'a'", "hub: found 'b'");
        (await Typed.Words("road", "load", ride, "--product", "af-85", "--wind-mps", "7")).IsWrong("windFromDeg");
    }

    /// <summary>A meter at the crank of a bike with a motor tells nothing of the total: the ride is loaded as one without a meter.</summary>
    [Fact]
    public async Task A_meter_that_read_the_rider_alone_is_not_the_total()
    {
        using var place = new Folder();
        var lines = HandMade(2, 2).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        var bare = place.Write("bare.csv", string.Join('\n', lines));
        var metered = place.Write("metered.csv", string.Join('\n', lines.Select((l, i) => i == 0 ? l + ",power" : l + ",60")));
        var without = await Typed.Words("road", "load", bare, "--product", "af-85", "--json");
        var asTotal = await Typed.Words("road", "load", metered, "--product", "af-85", "--json");
        var asRider = await Typed.Words("road", "load", metered, "--product", "af-85", "--meter-reads-rider", "--json");
        Assert.Equal(without.Number("motorEnergyJ"), asRider.Number("motorEnergyJ"), 1e-9);
        Assert.True(asTotal.Number("motorEnergyJ") < 0.9 * without.Number("motorEnergyJ"));
        (await Typed.Words("road", "load", Path.Combine(Outdoor, "indoor.fit"), "--product", "af-85", "--meter-reads-rider")).IsWrong("found power over time and no way");
    }

    /// <summary>What docs/methods/road.md says of one ride in two formats.</summary>
    [Fact]
    public async Task FIT_and_GPX_of_one_ride_differ_by_what_the_methods_tell()
    {
        var (fit, gpx) = (await Loaded("fit"), await Loaded("gpx"));
        Assert.Equal((24, 34), (fit.Number("cutOffs"), gpx.Number("cutOffs")));
        Assert.Equal(0.99, gpx.Number("motorEnergyJ") / fit.Number("motorEnergyJ"), 0.005);
        var (fitMiner, gpxMiner) = (Miner(fit), Miner(gpx));
        var times = fitMiner.Where(d => d.Value > 0).ToDictionary(d => d.Key, d => Math.Round(gpxMiner[d.Key] / d.Value, 2));
        var roots = times.Where(t => t.Key.EndsWith("-root", StringComparison.Ordinal)).Select(t => t.Value).ToList();
        Assert.Equal((0.76, 0.8), (roots.Min(), roots.Max()));
        Assert.All(times.Where(t => t.Key.EndsWith("-flank", StringComparison.Ordinal)), t => Assert.Equal(0.91, t.Value));
        Assert.Equal(1.05, times["bent-crank-axle"], 0.011);
        Assert.All(times.Where(t => t.Key.StartsWith("bearing-", StringComparison.Ordinal) || t.Key.StartsWith("ageing-", StringComparison.Ordinal)), t => Assert.InRange(t.Value, 0.98, 1.02));

        static Task<Typed> Loaded(string format) => Typed.Words("road", "load", Path.Combine(Outdoor, $"hilly-power.{format}"), "--product", "af-85", "--json");

        static Dictionary<string, double> Miner(Typed said) => said.Json.GetProperty("damage").EnumerateArray().ToDictionary(d => d.GetProperty("element").GetString()!, d => d.GetProperty("miner").GetDouble());
    }

    /// <summary>A rig of 1 N·m once came "within 6084870582 %".</summary>
    [Fact]
    public async Task A_cycle_that_a_rig_cannot_run_says_which_limit_stops_it()
    {
        using var place = new Folder();
        var said = await Typed.Words("road", "cycle", place.Write("ride.csv", HandMade(3, 3)), "--product", "af-85", "--duration-s", "60", "--torque-limit-nm", "1");
        Assert.Equal(0, said.Exit);
        var sentence = said.Output.ReplaceLineEndings(" ");
        Assert.Contains("the largest torque of 1 N·m stands in the way: with it no cycle comes near the road's proportions", sentence);
        Assert.DoesNotMatch(@"\d{4,} %", sentence);
    }

    /// <summary>Twenty-two rides of two hours are 44 hours, not a day and twenty.</summary>
    [Fact]
    public async Task Hours_of_moving_go_on_beyond_a_day_and_alike_notes_tell_their_figures()
    {
        using var place = new Folder();
        var files = Enumerable.Range(0, 22).Select(n => place.Write($"{n}.csv", "seconds,distance,cadence\n" + string.Concat(Enumerable.Range(0, 721).Select(s => System.FormattableString.Invariant($"{10 * s},{50 * s},{(s < 5 + n ? 255 : 60)}\n")))));
        var said = await Typed.Words(["road", "load", .. files, "--product", "af-85"]);
        Assert.Contains("44:00:00", said.Output);
        Assert.Contains("2:00:00", said.Output);
        Assert.Contains("in 22 of 22 rides: 5 to 26 of 721 values of cadence held 255, the code for 'not measured', and are taken as missing.", said.Output.ReplaceLineEndings(" "));
    }

    [Fact]
    public void A_share_that_was_typed_in_percent_is_refused_in_percent()
    {
        var asked = new Roadproof.App.Road.RunRig.Asked(Share: 3);
        Assert.Equal("--share: found 300 %, expected above 0 and below 100 %, such as 90.", Assert.Throws<Roadproof.Engineering.Quantities.InputException>(() => Roadproof.App.Road.RunRig.Require(asked, inPercent: true)).Message);
    }

    [Fact]
    public async Task Riders_of_a_mix_say_what_breaks_first_for_whom()
    {
        var mix = Path.Combine(Checkout.Root, "demo", "mixes", "city.yaml");
        var said = await Typed.Words("road", "mix", Outdoor, "--product", "af-85", "--mix", mix, "--riders", "40", "--json");
        Assert.Equal(0, said.Exit);
        said.HasFields("mix", "riders", "elements", "worstRiders", "ridesByTerrain");
        Assert.Equal(1, said.Json.GetProperty("elements").EnumerateArray().Sum(e => e.GetProperty("firstFor").GetDouble()), 9);
        Assert.All(said.Json.GetProperty("elements").EnumerateArray(), e => Assert.True(e.GetProperty("lifeKm10").GetDouble() <= e.GetProperty("lifeKm90").GetDouble()));
        var again = await Typed.Words("road", "mix", Outdoor, "--product", "af-85", "--mix", mix, "--riders", "40", "--json");
        Assert.Equal(said.Output, again.Output);
    }

    [Fact]
    public async Task A_mix_that_cannot_be_is_refused_at_its_place()
    {
        using var folder = new Folder();
        var file = folder.Write("wrong.yaml", File.ReadAllText(Path.Combine(Checkout.Root, "demo", "mixes", "city.yaml")).Replace("least: 45, most: 120", "least: 145, most: 120").Replace("cadenceRpm", "cadence"));
        var said = await Typed.Words("road", "mix", Outdoor, "--product", "af-85", "--mix", file);
        said.IsWrong("wrong.yaml:4", "least up to most", "cadenceRpm");
    }

    /// <summary>Hours that are told to be needed cover as many riders as were asked for; the units are those of the success run.</summary>
    [Fact]
    public async Task A_rig_is_told_how_long_to_run_and_whom_it_covers()
    {
        var mix = Path.Combine(Checkout.Root, "demo", "mixes", "mountain.yaml");
        string[] words = ["road", "rig", Outdoor, "--product", "af-85", "--mix", mix, "--riders", "60", "--json"];
        var needed = await Typed.Words(words);
        Assert.Equal(0, needed.Exit);
        needed.HasFields("hoursForAll", "elements", "units", "points", "peakWindingC", "ridersPeakWindingC", "slowest");
        var all = needed.Json.GetProperty("hoursForAll").GetProperty("value").GetDouble();
        Assert.Equal(600, needed.Number("durationS"));
        Assert.InRange(needed.Number("peakWindingC"), 80, 100);
        var units = needed.Json.GetProperty("units").EnumerateArray().ToList();
        Assert.Equal([22, 12, 6, 3, 2, 1], units.Select(u => u.GetProperty("units").GetInt32()));
        Assert.Equal(1.91, units[2].GetProperty("lives").GetDouble(), 0.005);
        Assert.Equal(all * units[2].GetProperty("lives").GetDouble(), units[2].GetProperty("hours").GetDouble(), 1e-6);

        var run = await Typed.Words([.. words, "--hours", all.ToString("R", System.Globalization.CultureInfo.InvariantCulture)]);
        var slowest = run.Json.GetProperty("elements")[0];
        Assert.Equal(1, slowest.GetProperty("torqueRatio").GetDouble(), 1e-9);
        Assert.InRange(slowest.GetProperty("covered").GetProperty("value").GetDouble(), 0.88, 0.92);
        Assert.Equal(System.Text.Json.JsonValueKind.Null, run.Json.GetProperty("more").ValueKind);
        Assert.All(run.Json.GetProperty("elements").EnumerateArray(), e => Assert.Equal(e.GetProperty("notReproduced").ValueKind == System.Text.Json.JsonValueKind.String, e.GetProperty("hoursNeeded").ValueKind == System.Text.Json.JsonValueKind.Null));

        var half = await Typed.Words([.. words, "--hours", (all / 2).ToString("R", System.Globalization.CultureInfo.InvariantCulture)]);
        Assert.Equal(all / 2, half.Json.GetProperty("more").GetProperty("hours").GetDouble(), 0.001 * all);
        Assert.Equal(half.Output, (await Typed.Words([.. words, "--hours", (all / 2).ToString("R", System.Globalization.CultureInfo.InvariantCulture)])).Output);
    }

    [Theory]
    [InlineData("--share 1.2 --shape 0 --hours -3", "--share: found 1.2", "--shape: found 0", "--hours: found -3")]
    [InlineData("--torque-nm 400", "--torque-nm: found 400")]
    [InlineData("--torque-nm 80 --speed-rpm 900", "a point that the unit reaches")]
    [InlineData("--winding-limit-c 24", "a torque that the winding bears")]
    [InlineData("--winding-limit-c 500", "found 500 °C, expected at most ")]
    [InlineData("--cycle none.csv", "no such file")]
    public async Task A_rig_that_cannot_be_is_said(string options, params string[] sentences) =>
        (await Typed.Words(["road", "rig", Outdoor, "--product", "af-85", "--mix", Path.Combine(Checkout.Root, "demo", "mixes", "city.yaml"), .. options.Split(' ')])).IsWrong(sentences);

    [Theory]
    [InlineData("road cycle {0} --product af-85", "neither --duration-s nor --durability")]
    [InlineData("road cycle {0} --product af-85 --duration-s 5", "a length from 20 s")]
    [InlineData("road cycle {0} --product af-85 --duration-s 90 --torque-limit-nm -3", "a torque above 0")]
    [InlineData("road cycle {0} --product af-85 --duration-s 90 --winding-limit-c 500", "found 500 °C, expected at most ")]
    [InlineData("road mix {0} --product af-85 --mix none.yaml", "no such file")]
    [InlineData("road mix {0} --product af-85 --mix none.yaml --riders 3", "a number from 10")]
    public async Task What_cannot_be_asked_is_said(string words, string sentence) => (await Typed.Words(string.Format(System.Globalization.CultureInfo.InvariantCulture, words, Outdoor).Split(' '))).IsWrong(sentence);

    [Fact]
    public async Task A_range_has_an_interval()
    {
        var said = await Typed.Words("road", "load", Path.Combine(Outdoor, "short-below-sea.gpx"), "--product", "af-85", "--range", "--json");
        Assert.Equal(0, said.Exit);
        var range = said.Json.GetProperty("rides")[0].GetProperty("range");
        Assert.InRange(range.GetProperty("whPerKm").GetDouble(), range.GetProperty("whPerKmInterval").GetProperty("lower").GetDouble(), range.GetProperty("whPerKmInterval").GetProperty("upper").GetDouble());
        Assert.Equal(500 / range.GetProperty("whPerKm").GetDouble(), range.GetProperty("rangeKm").GetDouble(), 6);
    }
}
