using System.Xml;

namespace Roadproof.Engineering.Formats;

/// <summary>Reads the points of a ride out of XML while it goes by: one value after the other, nothing kept of the tree.</summary>
sealed class RidePoints(XmlReader reader, RidePoints.Take take)
{
    /// <summary>Takes the value of an element that holds nothing but text; <paramref name="parent"/> is the element around it.</summary>
    public delegate void Take(ref RideFix fix, string name, string parent, string value);

    string[] names = new string[16];

    /// <summary>Reads the element on which the reader stands, to its end. The fix's line is that of each value while it is taken, and that of the point afterwards.</summary>
    public void Read(ref RideFix fix)
    {
        if (reader.IsEmptyElement) return;
        var (line, top) = (fix.Line, reader.Depth);
        var (value, isLeaf) = ("", false);
        names[0] = reader.LocalName;
        while (reader.Read() && reader.Depth > top)
        {
            var depth = reader.Depth - top;
            switch (reader.NodeType)
            {
                case XmlNodeType.Element:
                    if (depth == names.Length) Array.Resize(ref names, 2 * depth);
                    names[depth] = reader.LocalName;
                    (value, isLeaf) = ("", !reader.IsEmptyElement);
                    fix.Line = LineOf(reader);
                    if (!isLeaf) take(ref fix, names[depth], names[depth - 1], "");
                    break;
                case XmlNodeType.Text or XmlNodeType.CDATA or XmlNodeType.SignificantWhitespace when isLeaf:
                    value = value.Length == 0 ? reader.Value : value + reader.Value;
                    break;
                case XmlNodeType.EndElement:
                    if (isLeaf) take(ref fix, names[depth], names[depth - 1], value);
                    isLeaf = false;
                    break;
            }
        }

        fix.Line = line;
    }

    /// <summary>The value of an attribute by its name without a name space; null where there is none. The reader stands on the element again afterwards.</summary>
    public static string? Attribute(XmlReader reader, string name)
    {
        string? value = null;
        for (var more = reader.MoveToFirstAttribute(); more && value is null; more = reader.MoveToNextAttribute())
            if (reader.LocalName == name) value = reader.Value;
        reader.MoveToElement();
        return value;
    }

    public static int LineOf(XmlReader reader) => ((IXmlLineInfo)reader).LineNumber;
}
