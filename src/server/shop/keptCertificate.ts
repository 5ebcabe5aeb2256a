import { createPrivateKey, X509Certificate } from "node:crypto";
import { type KeyedCertificate, makeAuthority, makeServerCertificate } from "./certificate.ts";
import type { OwnFiles } from "./configFolder.ts";
import { closedNetworks } from "./networks.ts";

/** What the server shows of itself, and what stands behind it. */
export interface ServerIdentity {
  /** Certificate of the server and of the authority that signed it, and the key of the first, as PEM text. */
  readonly chain: string;
  readonly key: string;
  /** SHA-256 of the server's certificate, as browsers show it. */
  readonly fingerprint: string;
  /** The authority, for devices whose owner installs it. */
  readonly authority: string;
  readonly authorityFingerprint: string;
  /** Whether the authority was made just now: devices that had installed an earlier one do not know it. */
  readonly isNew: boolean;
}

const renewDays = 30;
const day = 24 * 60 * 60 * 1000;

/**
 * The authority and certificate that an account keeps for its shop network: made at the first start, and again when the
 * addresses have changed, the end is near, or others could have read a key.
 */
export async function keptIdentity(
  files: OwnFiles,
  addresses: readonly string[],
  now = new Date(),
): Promise<ServerIdentity> {
  const keptAuthority = await readPair(files, "authority", now);
  const authority = keptAuthority ?? makeAuthority(closedNetworks, now);
  if (!keptAuthority) await writePair(files, "authority", authority);
  const kept = keptAuthority && (await readPair(files, "server", now));
  const server =
    kept && isOf(kept, authority, addresses) ? kept : makeServerCertificate(authority, addresses, now);
  if (server !== kept) await writePair(files, "server", server);
  return {
    chain: server.certificate + authority.certificate,
    key: server.key,
    fingerprint: new X509Certificate(server.certificate).fingerprint256,
    authority: authority.certificate,
    authorityFingerprint: new X509Certificate(authority.certificate).fingerprint256,
    isNew: !keptAuthority,
  };
}

async function readPair(files: OwnFiles, name: string, now: Date): Promise<KeyedCertificate | undefined> {
  const [certificate, key] = await Promise.all([files.read(`${name}.crt`), files.read(`${name}.key`)]);
  if (certificate === undefined || key === undefined) return undefined;
  try {
    const read = new X509Certificate(certificate);
    const from = Date.parse(read.validFrom);
    const until = Date.parse(read.validTo) - renewDays * day;
    if (!read.checkPrivateKey(createPrivateKey(key)) || now.getTime() < from || now.getTime() > until)
      return undefined;
    return { certificate, key };
  } catch {
    return undefined; // damaged: made anew
  }
}

/** The key is written first: a certificate without its key is made anew. */
async function writePair(files: OwnFiles, name: string, { certificate, key }: KeyedCertificate) {
  await files.write(`${name}.key`, key);
  await files.write(`${name}.crt`, certificate);
}

function isOf({ certificate }: KeyedCertificate, authority: KeyedCertificate, addresses: readonly string[]) {
  const read = new X509Certificate(certificate);
  const names = (read.subjectAltName ?? "").split(", ").map((name) => name.replace(/^IP Address:/, ""));
  return (
    read.verify(new X509Certificate(authority.certificate).publicKey) &&
    names.length === addresses.length &&
    addresses.every((address) => names.includes(address))
  );
}
