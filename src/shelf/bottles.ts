/**
 * The bottle of each ingredient by what a row says, such as "Red paste: 17; White paste: B". A bare text is the bottle of
 * the only ingredient there is; of several it cannot be told which is meant.
 */
export function bottlesOf(text: string, names: readonly string[]): (string | undefined)[] {
  const said = text.split(";").map((one) => one.trim());
  return names.map((name) => {
    const own = said.find((one) => one.toLowerCase().startsWith(`${name.toLowerCase()}:`));
    const bottle = own ? own.slice(name.length + 1).trim() : names.length === 1 ? text.trim() : "";
    return bottle || undefined;
  });
}
