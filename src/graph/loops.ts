/** For each node the nodes it takes from. */
type Upstream = ReadonlyMap<string, readonly string[]>;

/**
 * Path that a new link would close into a loop: from `taker` along its dependents round to `taker` again.
 * @returns ids in the direction of flow, first and last the same, or undefined when the link is harmless
 */
export function loopThrough(upstream: Upstream, giver: string, taker: string): string[] | undefined {
  if (giver === taker) return [taker, taker];
  // Walk up from the giver: reaching the taker means that the taker already feeds the giver.
  const cameFrom = new Map<string, string>();
  const queue = [giver];
  for (let next = 0; next < queue.length; next++) {
    const at = queue[next];
    for (const above of upstream.get(at) ?? []) {
      if (cameFrom.has(above)) continue;
      cameFrom.set(above, at);
      if (above === taker) {
        const path = [taker];
        let node = taker;
        for (let left = cameFrom.size; left > 0 && node !== giver; left--) {
          node = cameFrom.get(node)!;
          path.push(node);
        }
        path.push(taker);
        return path;
      }
      queue.push(above);
    }
  }
  return undefined;
}

/** Every node that lies on a loop, with one loop through it (in the direction of flow). */
export function loopMembers(upstream: Upstream): Map<string, string[]> {
  const members = new Map<string, string[]>();
  for (const [taker, givers] of upstream) {
    for (const giver of givers) {
      const path = loopThrough(upstream, giver, taker);
      if (path) {
        members.set(taker, path);
        break;
      }
    }
  }
  return members;
}
