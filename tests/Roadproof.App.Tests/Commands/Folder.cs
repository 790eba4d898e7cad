namespace Roadproof.App.Tests.Commands;

/// <summary>A folder of its own for one test, deleted afterwards.</summary>
sealed class Folder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("roadproof-app-").FullName;

    public string this[string name] => System.IO.Path.Combine(Path, name);

    /// <returns>The file's path.</returns>
    public string Write(string name, string text)
    {
        Directory.CreateDirectory(System.IO.Path.GetDirectoryName(this[name])!);
        File.WriteAllText(this[name], text);
        return this[name];
    }

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
