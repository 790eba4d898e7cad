using Roadproof.Engineering.Life;

namespace Roadproof.Engineering.Tests.Published;

/// <summary>
/// Form and stress factors of standard teeth (20°, addendum 1, dedendum 1.25, root radius 0.38 modules, no shift, force at the tip): handbook table after ISO 6336-3 and DIN 3990-3, from memory.
/// </summary>
public sealed class ToothFormTests
{
    [Theory]
    [InlineData(17, 2.97, 1.52)]
    [InlineData(20, 2.80, 1.55)]
    [InlineData(25, 2.62, 1.59)]
    [InlineData(30, 2.52, 1.625)]
    [InlineData(40, 2.40, 1.67)]
    [InlineData(50, 2.32, 1.70)]
    [InlineData(70, 2.24, 1.75)]
    [InlineData(100, 2.18, 1.79)]
    [InlineData(200, 2.12, 1.865)]
    public void Factors_are_those_of_the_handbook_table(int teeth, double form, double stress)
    {
        var tooth = ToothForm.Of(teeth);
        Assert.Equal(form, tooth.Form, 0.011 * form);
        Assert.Equal(stress, tooth.Stress, 0.015 * stress);
    }

    [Fact]
    public void Profile_shift_makes_a_small_pinion_stronger() => Assert.True(ToothForm.Of(13, 0.4).Form < 0.85 * ToothForm.Of(13).Form);

    [Fact]
    public void A_tooth_that_comes_to_a_point_is_refused() => Assert.Throws<ArgumentOutOfRangeException>(() => ToothForm.Of(10, 1));
}
