import { networkInterfaces } from "node:os";
import { FolderError } from "../folder.ts";

/** An address of this computer and the network that it lies in, IPv4. */
export interface LocalAddress {
  /** Such as 192.168.1.20 */
  readonly address: string;
  /** First address of the network and how many bits all of its addresses share, such as 192.168.1.0 and 24. */
  readonly network: string;
  readonly bits: number;
}

/**
 * The networks that are not reached from the internet: private ones, those without a server of addresses, and this
 * computer itself. Source: RFC 1918 section 3, RFC 3927 section 2.1, RFC 1122 section 3.2.1.3.
 */
export const closedNetworks: readonly { readonly network: string; readonly bits: number }[] = [
  { network: "10.0.0.0", bits: 8 },
  { network: "172.16.0.0", bits: 12 },
  { network: "192.168.0.0", bits: 16 },
  { network: "169.254.0.0", bits: 16 },
  { network: "127.0.0.0", bits: 8 },
];

/** An IPv4 address as a number from 0 to 2³² − 1, also where it is written as one of IPv6; undefined for any other text. */
export function numberOf(address: string): number | undefined {
  const parts = address.replace(/^::ffff:/i, "").split(".");
  if (parts.length !== 4 || !parts.every((part) => /^(?:0|[1-9]\d{0,2})$/.test(part) && Number(part) <= 255))
    return undefined;
  return parts.reduce((number, part) => number * 256 + Number(part), 0);
}

/** Whether an address lies in a network; false for what is no IPv4 address. */
export function isIn(address: string, { network, bits }: { network: string; bits: number }): boolean {
  const [one, first] = [numberOf(address), numberOf(network)];
  if (one === undefined || first === undefined) return false;
  const size = 2 ** (32 - bits);
  return Math.floor(one / size) === Math.floor(first / size);
}

/**
 * The addresses at which other devices of the same networks reach this computer.
 *
 * @param wanted one address of this computer, of several; an address of the loopback range is for trying it out
 * @throws FolderError when there is none, or when it can be reached from the internet
 */
export function localAddresses(wanted?: string, interfaces = networkInterfaces()): LocalAddress[] {
  if (wanted !== undefined && isIn(wanted, { network: "127.0.0.0", bits: 8 })) {
    return [{ address: wanted, network: "127.0.0.0", bits: 8 }];
  }
  const found: LocalAddress[] = [];
  const open: string[] = [];
  for (const { address, family, cidr, internal } of Object.values(interfaces).flatMap((list) => list ?? [])) {
    const bits = Number(cidr?.split("/")[1]);
    if (family !== "IPv4" || internal || !(bits >= 8 && bits <= 32)) continue;
    if (wanted !== undefined && wanted !== address) continue;
    if (closedNetworks.some((closed) => isIn(address, closed) && bits >= closed.bits))
      found.push({ address, network: address, bits });
    else open.push(address);
  }
  if (found.length > 0) return found;
  throw new FolderError(
    open.length > 0
      ? `${open.join(", ")} is no address of a private network: it may be reached from the internet. The notebook is opened to private networks only.`
      : wanted !== undefined
        ? `${wanted} is no address of this computer. Leave --shop-address out to use all of its networks.`
        : "This computer is in no network. Join one and start again, or leave --shop-network out.",
  );
}

/** A network in words. */
export function networkWords({ address, bits }: LocalAddress): string {
  if (isIn(address, { network: "127.0.0.0", bits: 8 })) return "this computer only, to try it out";
  const first = numberOf(address)! - (numberOf(address)! % 2 ** (32 - bits));
  const last = first + 2 ** (32 - bits) - 1;
  return `devices with addresses from ${text(first)} to ${text(last)}`;
}

function text(address: number): string {
  return [24, 16, 8, 0].map((shift) => Math.floor(address / 2 ** shift) % 256).join(".");
}
