using System.CommandLine;
using Roadproof.App.Frame;
using Roadproof.App.Lots;
using Roadproof.Records.ReadModel;
using Spectre.Console;

namespace Roadproof.App.Orders;

/// <summary>Production orders from the command line, in a data folder that no server has open.</summary>
public static class OrderCommand
{
    public sealed record StartAnswer(string Order, string State, IReadOnlyList<string> ToClear, string Method, IReadOnlyList<string> Warnings);

    public sealed record EndAnswer(string Order, string State, int Good, int Scrapped, int UnderWay, string Method, IReadOnlyList<string> Warnings);

    public sealed record ListAnswer(IReadOnlyList<OrderLine> Orders, IReadOnlyList<LineOrders> Lines, string Method, IReadOnlyList<string> Warnings);

    const string Counted = "Good: through the route and free of holds. Under way: started, neither good nor scrapped.";

    static readonly Argument<string> Order = new("order") { Description = "The order's code." };

    public static Command Start()
    {
        Option<string?> instead = new("--instead") { Description = "The order that runs now; needed where one does." };
        return CommandLine.Verb("start", "New units of its product take the order from now on; stations whose step differs have to be cleared.", "orders start O-2 --instead O-1 --data plant", [Order, instead, LotCommand.By], (input, face, _) =>
            LotCommand.WithLine(input, async line =>
            {
                var outcome = await ActOnOrder.Start(input.GetValue(Order)!, new(LotCommand.NewKey(), line.Clock.GetLocalNow(), input.GetValue(instead), input.GetValue(LotCommand.By)), line);
                return outcome.Done is not { } done ? face.Refused(outcome.Refused!) : face.Say(
                    new StartAnswer(done.Order, done.State, done.ToClear, "A station is to be cleared where its step takes other parts, firmware, region or label than it is set up for, or where a lot lies that the order does not take.", []),
                    console => console.WriteLine($"Order {done.Order} runs. {(done.ToClear.Count == 0 ? "No station has to be cleared." : $"To be cleared: {string.Join(", ", done.ToClear)}.")}"));
            }));
    }

    public static Command End()
    {
        Option<string?> reason = new("--reason") { Description = "Why it ends short; needed where its quantity is not good, and kept." };
        return CommandLine.Verb("end", "No new unit takes the order any more; those under way go on under it.", "orders end O-1 --reason \"customer withdrew\" --data plant", [Order, reason, LotCommand.By], (input, face, _) =>
            LotCommand.WithLine(input, async line =>
            {
                var outcome = await ActOnOrder.End(input.GetValue(Order)!, new(LotCommand.NewKey(), line.Clock.GetLocalNow(), input.GetValue(reason), input.GetValue(LotCommand.By)), line);
                return outcome.Done is not { } done ? face.Refused(outcome.Refused!) : face.Say(new EndAnswer(done.Order, done.State, done.Good, done.Scrapped, done.UnderWay, Counted, []), console =>
                    console.WriteLine($"Order {done.Order} is {(done.State == "finished" ? "finished" : "ended short")}: {Figure.Count(done.Good)} good, {Figure.Count(done.Scrapped)} scrapped, {Figure.Count(done.UnderWay)} under way."));
            }));
    }

    public static Command List()
    {
        Option<string?> state = new("--state") { Description = "open, running, interrupted, finished or ended." };
        return CommandLine.Verb("list", "The orders, what runs on each line and which stations are still to be cleared.", "orders list --data plant", [state], (input, face, _) =>
            Task.FromResult(LotCommand.Asking(input, line =>
            {
                var view = line.Ask(c => OrderQuery.Run(c, line.Plant, input.GetValue(state)));
                return face.Say(new ListAnswer(view.Orders, view.Lines, Counted, []), console => Print(view, console));
            })));
    }

    static void Print(OrderListView view, IAnsiConsole console)
    {
        foreach (var line in view.Lines.Where(l => l.Running is not null || l.HasVariants))
        {
            var toClear = line.Changeover.Where(s => s.State == "to-clear").Select(s => s.Station).ToList();
            console.WriteLine($"{line.LineName}: {(line.Running is { } o ? $"{o.Said} runs, {Figure.Count(o.Good)} of {Figure.Count(o.Quantity)} good" : "no order runs")}{(toClear.Count > 0 ? $"; to be cleared: {string.Join(", ", toClear)}" : "")}.");
        }

        if (view.Orders.Count == 0)
        {
            console.WriteLine("No order.");
            return;
        }

        var table = Tables.Of("order", "product", "variant", "customer", "due", "state", ">good", ">of", ">under way", ">scrapped");
        foreach (var o in view.Orders)
            table.Row(o.Order, o.Product, o.Variant ?? "", o.Customer ?? "", o.Due is { } due ? Invariant($"{due:yyyy-MM-dd}") : "", o.State, Figure.Count(o.Good), Figure.Count(o.Quantity), Figure.Count(o.UnderWay), Figure.Count(o.Scrapped));
        console.Write(table);
    }
}
