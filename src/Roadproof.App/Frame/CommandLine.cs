using System.CommandLine;
using System.CommandLine.Help;
using Microsoft.Data.Sqlite;
using Roadproof.App.Checks;
using Roadproof.App.Definitions;
using Roadproof.App.Demo;
using Roadproof.App.Drive;
using Roadproof.App.Judging;
using Roadproof.App.Life;
using Roadproof.App.LoadTest;
using Roadproof.App.LoadTest.Rigs;
using Roadproof.App.Lots;
using Roadproof.App.Orders;
using Roadproof.App.Records;
using Roadproof.App.Road;
using Roadproof.Engineering.Quantities;

namespace Roadproof.App.Frame;

/// <summary>An act's own way from the command line: reads its options, runs, prints through the face, returns an <see cref="Exit"/>.</summary>
public delegate Task<int> Act(ParseResult input, Face face, CancellationToken stop);

/// <summary>The command line: one area for each task of the trade, one verb for each act.</summary>
public static class CommandLine
{
    static readonly Option<bool> JsonOption = new("--json") { Description = "Print exactly one JSON document on standard output.", Recursive = true };

    /// <summary>The folder that holds records and captures.</summary>
    public static readonly Option<string> DataOption = new("--data")
    {
        Description = "The data folder (or ROADPROOF_DATA).",
        Recursive = true,
        DefaultValueFactory = _ => Environment.GetEnvironmentVariable("ROADPROOF_DATA") ?? "data",
    };

    /// <summary>The folder of definition files that names products for computations without records.</summary>
    public static readonly Option<string> DefinitionsOption = new("--definitions")
    {
        Description = "The folder of definition files (or ROADPROOF_DEFINITIONS); the demo plant's by default.",
        Recursive = true,
        DefaultValueFactory = _ => Environment.GetEnvironmentVariable("ROADPROOF_DEFINITIONS") ?? Path.Combine(AppContext.BaseDirectory, "demo"),
    };

    /// <summary>Parses, runs and says how it ended. Only a bug of ours is thrown on.</summary>
    public static async Task<int> Run(string[] args, TextWriter output, TextWriter error)
    {
        var parsed = Root().Parse(args);
        if (parsed.Action is HelpAction) return await Help(parsed, output, error);
        if (UsageErrors.Of(parsed) is { Count: > 0 } errors)
        {
            var exit = new Face(args.Contains(JsonOption.Name, StringComparer.Ordinal), output, error).Wrong(errors);
            await error.WriteLineAsync($"See: {UsageErrors.PathOf(parsed)} --help");
            return exit;
        }

        return await parsed.InvokeAsync(new InvocationConfiguration { Output = output, Error = error, EnableDefaultExceptionHandler = false });
    }

    // The program is called by the name of its script, whatever its file is called.
    static async Task<int> Help(ParseResult parsed, TextWriter output, TextWriter error)
    {
        using var text = new StringWriter();
        var exit = await parsed.InvokeAsync(new InvocationConfiguration { Output = text, Error = error });
        await output.WriteAsync(text.ToString().Replace($"  {RootCommand.ExecutableName}", "  roadproof", StringComparison.Ordinal));
        return exit;
    }

    /// <summary>A verb with its example, ready to hang into its area.</summary>
    public static Command Verb(string name, string description, string example, IEnumerable<Symbol> takes, Act act)
    {
        var command = new Command(name, $"{description}\n\nExample: roadproof {example}");
        foreach (var symbol in takes)
        {
            if (symbol is Option option)
            {
                UsageErrors.ReadStrictly(option);
                command.Add(option);
            }
            else if (symbol is Argument argument) command.Add(argument);
        }

        command.SetAction((input, stop) => Guarded(input, act, stop));
        return command;
    }

    static Command Area(string name, string description, params Command[] verbs)
    {
        var area = new Command(name, description);
        foreach (var verb in verbs) area.Add(verb);
        return area;
    }

    /// <summary>Every command that Roadproof has.</summary>
    public static RootCommand Root()
    {
        var root = new RootCommand("Roadproof: records, load tests and road loads of an e-bike drive-unit line.\n\nExample: roadproof demo");
        root.Add(JsonOption);
        root.Add(DataOption);
        root.Add(DefinitionsOption);
        root.Add(RunDemo.Command());
        root.Add(Serve.Command());
        root.Add(Area("definitions", "What a line works by: products, routes, limits.", CheckDefinitions.Command(), CompareRevisions.Command(), ApproveDefinitions.Command(), ListRevisions.Command()));
        root.Add(Area("checks", "Checks on the way: a curve each.", JudgeCheck.Command(), CalibrateLeak.Command()));
        root.Add(Area("loadtest", "The sealed unit's full-load test.", JudgeCapture.Command(), TryDiagnosis.Command(), IdentifyUnit.Command(), ReadOrders.Command(), ShowLimits.Command(), ShowSensitivity.Command(), DesignFaultCycle.Command()));
        root.Add(Area("rigs", "Whether the rigs may judge, by their reference units.", RigStatus.Command(), CompareRigs.Command(), RejudgeUnits.Command()));
        root.Add(Area("lots", "What comes in, what it was made into, what is stopped.", LotCommand.Hold(), LotCommand.Release(), LotCommand.Show(), ReceiveDelivery.Command()));
        root.Add(Area("orders", "What is built for whom, as which variant.", TakeOrders.Command(), OrderCommand.Start(), OrderCommand.End(), OrderCommand.List()));
        root.Add(Area("records", "A line's memory.", VerifyRecords.Verify(), VerifyRecords.Rebuild()));
        root.Add(Area("drive", "What a drive unit needs and how warm it gets.", SolvePoint.Command(), PredictHeat.Command(), StudyGearTrain.Command()));
        root.Add(Area("road", "What riding asks of rider and unit.", ComputePower.Command(), LoadRides.Command(), DesignCycle.Command(), MixRiders.Command(), RunRig.Command(), FitRider.Command()));
        root.Add(Area("life", "What load cycles use up.", CountCycles.Command()));
        root.Add(Area("judge", "Limits, risks and how sure.", ComputeRisk.Command(), ComputeRetest.Command()));
        return root;
    }

    static async Task<int> Guarded(ParseResult input, Act act, CancellationToken stop)
    {
        var face = new Face(input.GetValue(JsonOption), input.InvocationConfiguration.Output, input.InvocationConfiguration.Error);
        try
        {
            return await act(input, face, stop);
        }
        catch (InputException e)
        {
            return face.Wrong(e.Errors);
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            face.Note("Stopped.");
            return Exit.Done;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or SqliteException)
        {
            face.Note(e.Message);
            return Exit.Missing;
        }
    }
}
