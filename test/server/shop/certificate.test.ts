import { createHash, X509Certificate } from "node:crypto";
import { connect, createServer, type TLSSocket } from "node:tls";
import { describe, expect, onTestFinished, test } from "vitest";
import {
  type KeyedCertificate,
  makeAuthority,
  makeServerCertificate,
  serverDays,
} from "../../../src/server/shop/certificate.ts";
import { closedNetworks } from "../../../src/server/shop/networks.ts";

const now = new Date();
const authority = makeAuthority(closedNetworks, now);

/** What a strict client says of a server with a certificate: the reason why not, or undefined. */
async function refusal(
  served: KeyedCertificate,
  trusted: KeyedCertificate,
  at: string,
): Promise<string | undefined> {
  const server = createServer({ cert: served.certificate, key: served.key });
  server.on("tlsClientError", () => undefined);
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  onTestFinished(() => void server.close());
  const { port } = server.address() as { port: number };
  return new Promise((resolve) => {
    const socket: TLSSocket = connect(
      { host: "127.0.0.1", port, ca: trusted.certificate, checkServerIdentity: () => undefined },
      () => {
        const held = new X509Certificate(socket.getPeerCertificate().raw);
        const fits = /^[\d.]+$/.test(at) ? held.checkIP(at) : held.checkHost(at);
        socket.destroy();
        resolve(fits ? undefined : "another name");
      },
    );
    socket.on("error", (error: NodeJS.ErrnoException) => resolve(`${error.code}: ${error.message}`));
  });
}

describe("the certificate of the server", () => {
  // source: RFC 5280 section 6.1 as OpenSSL carries it out
  test("is accepted by whoever has the authority, at its addresses alone", async () => {
    const served = makeServerCertificate(authority, ["192.168.1.20", "10.0.0.7"], now);
    expect(await refusal(served, authority, "192.168.1.20")).toBeUndefined();
    expect(await refusal(served, authority, "10.0.0.7")).toBeUndefined();
    expect(await refusal(served, authority, "192.168.1.21")).toBe("another name");
    expect(await refusal(served, authority, "localhost")).toBe("another name");
  });

  test("is refused by whoever has another authority", async () => {
    const served = makeServerCertificate(authority, ["192.168.1.20"], now);
    expect(await refusal(served, makeAuthority(closedNetworks, now), "192.168.1.20")).toMatch(
      /UNABLE_TO_VERIFY|SIGNATURE|SELF_SIGNED/,
    );
  });

  test.each(["8.8.8.8", "172.32.0.1", "192.169.0.1"])(
    "the authority is of no use at an address of the internet: %s",
    async (address) => {
      const served = makeServerCertificate(authority, [address], now);
      // source: RFC 5280 section 4.2.1.10, permitted subtrees
      expect(await refusal(served, authority, address)).toMatch(/PERMITTED_VIOLATION|permitted subtree/i);
    },
  );

  test("has an end that browsers accept, and other keys and numbers each time", () => {
    const [one, other] = [1, 2].map(
      () => new X509Certificate(makeServerCertificate(authority, ["10.0.0.7"], now).certificate),
    );
    const days = (Date.parse(one.validTo) - Date.parse(one.validFrom)) / 86_400_000;
    expect(days).toBe(serverDays + 1); // a day before, for clocks that are behind
    expect(days).toBeLessThanOrEqual(397);
    expect(one.serialNumber).not.toBe(other.serialNumber);
    expect(one.publicKey.export({ type: "spki", format: "der" })).not.toEqual(
      other.publicKey.export({ type: "spki", format: "der" }),
    );
    expect(one.ca).toBe(false);
    expect(one.checkIssued(new X509Certificate(authority.certificate))).toBe(true);
    // identity: the fingerprint is the hash of the whole certificate
    const hash = createHash("sha256").update(one.raw).digest("hex").toUpperCase();
    expect(one.fingerprint256.replaceAll(":", "")).toBe(hash);
  });
});
