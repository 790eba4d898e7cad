using Roadproof.App.Frame;

return await CommandLine.Run(args, Console.Out, Console.Error);
