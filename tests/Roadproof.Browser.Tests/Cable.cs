using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace Roadproof.Browser.Tests;

/// <summary>The network between a screen and the line, for a test that breaks it: cut, every connection ends; hanging, none ends and nothing comes.</summary>
sealed class Cable : IAsyncDisposable
{
    readonly TcpListener ear = new(IPAddress.Loopback, 0);
    readonly ConcurrentDictionary<TcpClient, bool> open = [];
    readonly int port;
    readonly Task accepting;
    volatile TaskCompletionSource flow = new();
    volatile bool cut;

    public Cable(string address)
    {
        port = new Uri(address).Port;
        flow.SetResult();
        ear.Start();
        accepting = Accept();
    }

    public string Address => $"http://{ear.LocalEndpoint}";

    public void Cut()
    {
        cut = true;
        foreach (var end in open.Keys) end.Dispose();
    }

    public void Hang() => flow = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public void Mend()
    {
        cut = false;
        flow.TrySetResult();
    }

    async Task Accept()
    {
        try
        {
            while (true) _ = Carry(await ear.AcceptTcpClientAsync());
        }
        catch (Exception e) when (IsEnd(e))
        {
        }
    }

    async Task Carry(TcpClient screen)
    {
        using var line = new TcpClient();
        open[screen] = true;
        try
        {
            if (cut) return;
            await line.ConnectAsync(IPAddress.Loopback, port);
            await await Task.WhenAny(Pump(screen.GetStream(), line.GetStream()), Pump(line.GetStream(), screen.GetStream()));
        }
        catch (Exception e) when (IsEnd(e))
        {
        }
        finally
        {
            open.TryRemove(screen, out _);
            screen.Dispose();
        }
    }

    async Task Pump(NetworkStream from, NetworkStream to)
    {
        var buffer = new byte[16384];
        while (await from.ReadAsync(buffer) is > 0 and var read)
        {
            await flow.Task;
            await to.WriteAsync(buffer.AsMemory(0, read));
        }
    }

    static bool IsEnd(Exception e) => e is IOException or SocketException or ObjectDisposedException or InvalidOperationException;

    public async ValueTask DisposeAsync()
    {
        ear.Stop();
        Cut();
        Mend();
        await accepting;
    }
}
