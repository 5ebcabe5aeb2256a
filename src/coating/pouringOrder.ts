/**
 * The order of pouring: the binder first, into which everything is stirred, then the largest amount, so that a slip with a
 * strong paste comes last and can still be made good (common practice). What is not used is left out.
 *
 * @param volumes of each component, in any one unit   @returns indices into the components
 */
export function pouringOrder(
  components: readonly { readonly role?: string }[],
  volumes: ArrayLike<number>,
): number[] {
  const first = (j: number) => Number(components[j].role === "binder");
  return [...components.keys()]
    .filter((j) => volumes[j] > 0)
    .sort((p, q) => first(q) - first(p) || volumes[q] - volumes[p]);
}
