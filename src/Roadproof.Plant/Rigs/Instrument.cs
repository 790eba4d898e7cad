using Roadproof.Engineering.LoadTest;
using Roadproof.Engineering.Statistics;

namespace Roadproof.Plant.Rigs;

/// <summary>One channel of a table: takes true values, keeps readings.</summary>
sealed class Instrument
{
    readonly double _gain, _zero, _noiseRms;
    readonly SeededNoise _noise;
    int _rows;

    /// <param name="channel">Name in the capture; a channel that is not measured but told (a switch, the controller's angle) has no gauge and no error.</param>
    public Instrument(string channel, string table, int rows, LoadTestPlan plan, RigErrors rig, RigErrors unit, RunConditions conditions, bool told = false)
    {
        Channel = channel;
        Readings = new float[rows];
        _noise = conditions.NoiseOfRun(table + " " + channel);
        if (told)
        {
            _gain = 1;
            return;
        }

        var gauge = plan.Gauges.Of(channel);
        var error = (gauge.InUnit ? unit : rig).Of(channel);
        (_gain, _zero, _noiseRms) = (1 + error.GainShare, error.Zero, gauge.NoiseRms);
    }

    public string Channel { get; }
    public float[] Readings { get; }

    public void Read(double trueValue) =>
        Readings[_rows++] = (float)(trueValue * _gain + _zero + (_noiseRms > 0 ? _noiseRms * _noise.Normal() : 0));
}
