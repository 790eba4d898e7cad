using System.Collections.Concurrent;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.Json;

namespace Roadproof.Records.Definitions;

/// <summary>A key of a definition file and the property it fills.</summary>
public sealed record DefinitionKey(string Key, PropertyInfo Property, bool Required)
{
    static readonly NullabilityInfoContext Nullability = new();

    /// <summary>The kind of one value: of the property itself, or of each item where it is a list.</summary>
    public Type ValueType { get; } = Nullable.GetUnderlyingType(DefinitionKeys.ItemOf(Property.PropertyType) ?? Property.PropertyType)
        ?? DefinitionKeys.ItemOf(Property.PropertyType) ?? Property.PropertyType;

    public bool List { get; } = DefinitionKeys.ItemOf(Property.PropertyType) is not null;

    /// <summary>The property may be null: the key may be left out and then says nothing.</summary>
    public bool MayBeNull { get; } = IsNullable(Property);

    static bool IsNullable(PropertyInfo property)
    {
        lock (Nullability) return Nullability.Create(property).WriteState == NullabilityState.Nullable;
    }
}

/// <summary>What may stand in a definition file: the settable properties of a type, in camelCase, unit and all.</summary>
public static class DefinitionKeys
{
    static readonly ConcurrentDictionary<Type, IReadOnlyList<DefinitionKey>> Known = new();

    public static IReadOnlyList<DefinitionKey> Of(Type type) => Known.GetOrAdd(type, static t =>
    [
        .. from property in t.GetProperties(BindingFlags.Public | BindingFlags.Instance)
           where property.SetMethod is { IsPublic: true }
           select new DefinitionKey(JsonNamingPolicy.CamelCase.ConvertName(property.Name), property, property.IsDefined(typeof(RequiredMemberAttribute))),
    ]);

    /// <summary>The single list that is all a type holds; such a type is written as the list itself.</summary>
    public static DefinitionKey? OnlyList(Type type) => IsRecord(type) && Of(type) is [{ List: true } only] ? only : null;

    /// <summary>A type of ours with keys of its own.</summary>
    public static bool IsRecord(Type type) => type.IsClass && type != typeof(string);

    public static Type? ItemOf(Type type) =>
        type.IsGenericType && type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>) ? type.GetGenericArguments()[0] : null;

    /// <summary>The words of an enum as they are written: kebab-case.</summary>
    public static IReadOnlyList<string> Words(Type enumType) => [.. Enum.GetNames(enumType).Select(JsonNamingPolicy.KebabCaseLower.ConvertName)];
}
