using Roadproof.Engineering.Quantities;
using Roadproof.Records.Definitions;

namespace Roadproof.Records.Tests.Definitions;

/// <summary>What the program itself reads by its id is asked of the definitions: without it a step could never pass, or a customer never be told.</summary>
public sealed class OwnIdsTests
{
    const string Route = "routes/af-85.yaml";

    [Theory]
    [InlineData("{ id: mark-read,", "{ id: mark-reed,", "found no reading 'mark-read' in step 'mark', expected the text reading 'mark-read' in a step of kind mark.")]
    [InlineData("{ id: mark-read, name: Code read back, text: true,", "{ id: mark-read, name: Code read back,", "found 'mark-read' as a number, expected the text reading 'mark-read' in a step of kind mark. Write text: true.")]
    [InlineData("{ id: box,", "{ id: carton,", "found no reading 'box' in step 'pack', expected the text reading 'box' in a step of kind pack.")]
    [InlineData("{ id: customer, name: Customer, text: true,", "{ id: customer, name: Customer, text: false,", "found 'customer' as a number, expected the text reading 'customer' in a step of kind pack. Write text: true.")]
    [InlineData("{ id: cover, name: Cover,", "{ id: lid, name: Cover,", "found 'cover-screw' without its group, expected a group of screws 'cover' in step 'cover'. A screw for each of the group is taken from the lot.")]
    public void An_id_that_the_program_reads_is_told_where_it_is_missing(string from, string to, string said)
    {
        var error = Assert.Single(Assert.Throws<InputException>(() => DefinitionFolder.Read(DemoFolder.With((Route, from, to)))).Errors);
        Assert.Equal(Route, error.Source);
        Assert.True(error.Line > 0);
        Assert.EndsWith(said, error.ToString(), StringComparison.Ordinal);
    }
}
