import type { NetworkInterfaceInfo } from "node:os";
import { describe, expect, test } from "vitest";
import { isIn, localAddresses, networkWords, numberOf } from "../../../src/server/shop/networks.ts";

const at = (cidr: string, internal = false) =>
  ({ address: cidr.split("/")[0], family: "IPv4", cidr, internal }) as NetworkInterfaceInfo;
const six = {
  address: "fd00::2",
  family: "IPv6",
  cidr: "fd00::2/64",
  internal: false,
} as NetworkInterfaceInfo;

describe("addresses", () => {
  test.each([
    ["0.0.0.0", 0],
    ["127.0.0.1", 0x7f000001],
    ["::ffff:192.168.1.20", 0xc0a80114],
    ["255.255.255.255", 2 ** 32 - 1],
  ])("%s is %i", (text, number) => expect(numberOf(text)).toBe(number));

  test.each(["", "1.2.3", "1.2.3.4.5", "256.1.1.1", "01.2.3.4", "1.2.3.-4", "1.2.3.4 ", "::1", "0x7f.0.0.1"])(
    "%s is none",
    (text) => expect(numberOf(text)).toBeUndefined(),
  );

  // source: RFC 1918 section 3
  test.each([
    ["172.16.0.0", true],
    ["172.31.255.255", true],
    ["172.32.0.0", false],
    ["172.15.255.255", false],
    ["fd00::1", false],
  ])("%s in 172.16/12: %s", (address, inside) =>
    expect(isIn(address, { network: "172.16.0.0", bits: 12 })).toBe(inside),
  );
});

describe("the addresses to listen at", () => {
  const interfaces = {
    lo: [at("127.0.0.1/8", true)],
    wifi: [at("192.168.1.20/24"), six],
    vpn: [at("10.8.0.3/32")],
  };

  test("are those in private networks, each with its reach in words", () => {
    const found = localAddresses(undefined, interfaces);
    expect(found.map(networkWords)).toEqual([
      "devices with addresses from 192.168.1.0 to 192.168.1.255",
      "devices with addresses from 10.8.0.3 to 10.8.0.3",
    ]);
  });

  test("or the one that is wanted", () => {
    expect(localAddresses("10.8.0.3", interfaces)).toEqual([
      { address: "10.8.0.3", network: "10.8.0.3", bits: 32 },
    ]);
    expect(networkWords(localAddresses("127.0.0.2", interfaces)[0])).toBe(
      "this computer only, to try it out",
    );
  });

  test.each<[string, string | undefined, Record<string, NetworkInterfaceInfo[]>, RegExp]>([
    [
      "an address of the internet",
      undefined,
      { wan: [at("8.8.8.8/24")] },
      /8\.8\.8\.8 is no address of a private/,
    ],
    [
      "a private one whose network reaches beyond",
      undefined,
      { odd: [at("10.0.0.1/4")] },
      /in no network|private/,
    ],
    ["one of another computer", "192.168.1.77", interfaces, /no address of this computer/],
    ["no network", undefined, { lo: [at("127.0.0.1/8", true)] }, /in no network/],
  ])("but not %s", (_, wanted, given, message) =>
    expect(() => localAddresses(wanted, given)).toThrow(message),
  );
});
