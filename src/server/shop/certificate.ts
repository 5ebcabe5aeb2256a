import {
  createPrivateKey,
  generateKeyPairSync,
  type KeyObject,
  randomBytes,
  sign,
  X509Certificate,
} from "node:crypto";
import { AsnConvert, OctetString } from "@peculiar/asn1-schema";
import {
  AlgorithmIdentifier,
  AttributeTypeAndValue,
  AttributeValue,
  BasicConstraints,
  Certificate,
  ExtendedKeyUsage,
  Extension,
  Extensions,
  GeneralName,
  GeneralSubtree,
  GeneralSubtrees,
  id_ce_basicConstraints,
  id_ce_extKeyUsage,
  id_ce_keyUsage,
  id_ce_nameConstraints,
  id_ce_subjectAltName,
  id_kp_serverAuth,
  KeyUsage,
  KeyUsageFlags,
  Name,
  NameConstraints,
  RelativeDistinguishedName,
  SubjectAlternativeName,
  SubjectPublicKeyInfo,
  TBSCertificate,
  Validity,
  Version,
} from "@peculiar/asn1-x509";

/** A certificate with its private key, both as PEM text. */
export interface KeyedCertificate {
  readonly certificate: string;
  readonly key: string;
}

const day = 24 * 60 * 60 * 1000;
const authorityDays = 3650;
/** Browsers accept no more of a server's certificate than 825 days, and some 398. Source: from memory. */
export const serverDays = 390;

const ecdsaWithSha256 = "1.2.840.10045.4.3.2"; // source: RFC 5758 section 3.2
const commonName = "2.5.4.3"; // source: RFC 5280 appendix A.1

/**
 * A new authority that signs certificates of servers, and of no other than those with addresses in `networks`:
 * whoever installs it trusts its holder with nothing on the internet.
 *
 * Source: RFC 5280 sections 4.2.1.3 (use of the key), 4.2.1.9 (authority), 4.2.1.10 (names allowed).
 */
export function makeAuthority(
  networks: readonly { readonly network: string; readonly bits: number }[],
  now: Date,
): KeyedCertificate {
  const keys = newKeys();
  const name = named(`Bole on this computer (${randomBytes(4).toString("hex")})`);
  const allowed = networks.map(
    ({ network, bits }) =>
      new GeneralSubtree({
        base: new GeneralName({ iPAddress: `${network}/${bits}` }),
      }),
  );
  // Where addresses alone are named, every name in letters would still be allowed: none can end like this one.
  const noName = new GeneralSubtree({ base: new GeneralName({ dNSName: "nothing.invalid" }) });
  const certificate = signed({
    subject: name,
    issuer: name,
    publicKey: keys.publicKey,
    signingKey: keys.privateKey,
    from: new Date(now.getTime() - day),
    until: new Date(now.getTime() + authorityDays * day),
    extensions: [
      critical(id_ce_basicConstraints, new BasicConstraints({ cA: true, pathLenConstraint: 0 })),
      critical(id_ce_keyUsage, new KeyUsage(KeyUsageFlags.keyCertSign)),
      critical(
        id_ce_nameConstraints,
        new NameConstraints({ permittedSubtrees: new GeneralSubtrees([...allowed, noName]) }),
      ),
    ],
  });
  return { certificate, key: pemOf(keys.privateKey) };
}

/**
 * A certificate for a server at some addresses, signed by an authority.
 *
 * Source: RFC 5280 sections 4.2.1.6 (addresses as names), 4.2.1.12 (for servers alone); RFC 6125 section 6.4.
 */
export function makeServerCertificate(
  authority: KeyedCertificate,
  addresses: readonly string[],
  now: Date,
): KeyedCertificate {
  const keys = newKeys();
  const { raw } = new X509Certificate(authority.certificate);
  const certificate = signed({
    subject: named(`Bole at ${addresses[0]}`),
    issuer: AsnConvert.parse(plainBuffer(raw), Certificate).tbsCertificate.subject,
    publicKey: keys.publicKey,
    signingKey: createPrivateKey(authority.key),
    from: new Date(now.getTime() - day),
    until: new Date(now.getTime() + serverDays * day),
    extensions: [
      critical(id_ce_basicConstraints, new BasicConstraints({ cA: false })),
      critical(id_ce_keyUsage, new KeyUsage(KeyUsageFlags.digitalSignature)),
      plain(id_ce_extKeyUsage, new ExtendedKeyUsage([id_kp_serverAuth])),
      plain(
        id_ce_subjectAltName,
        new SubjectAlternativeName(addresses.map((address) => new GeneralName({ iPAddress: address }))),
      ),
    ],
  });
  return { certificate, key: pemOf(keys.privateKey) };
}

function newKeys() {
  return generateKeyPairSync("ec", { namedCurve: "P-256" });
}

function pemOf(key: KeyObject): string {
  return key.export({ type: "pkcs8", format: "pem" }) as string;
}

interface ToSign {
  subject: Name;
  issuer: Name;
  publicKey: KeyObject;
  signingKey: KeyObject;
  from: Date;
  until: Date;
  extensions: Extension[];
}

function signed({ subject, issuer, publicKey, signingKey, from, until, extensions }: ToSign): string {
  const serial = randomBytes(16);
  serial[0] = (serial[0] & 0x3f) | 0x40; // positive, and of full length
  const algorithm = new AlgorithmIdentifier({ algorithm: ecdsaWithSha256 });
  const said = new TBSCertificate({
    version: Version.v3,
    serialNumber: plainBuffer(serial),
    signature: algorithm,
    issuer,
    validity: new Validity({ notBefore: wholeSecond(from), notAfter: wholeSecond(until) }),
    subject,
    subjectPublicKeyInfo: AsnConvert.parse(
      plainBuffer(publicKey.export({ type: "spki", format: "der" })),
      SubjectPublicKeyInfo,
    ),
    extensions: new Extensions(extensions),
  });
  const signature = sign("sha256", Buffer.from(AsnConvert.serialize(said)), signingKey);
  const whole = new Certificate({
    tbsCertificate: said,
    signatureAlgorithm: algorithm,
    signatureValue: plainBuffer(signature),
  });
  return new X509Certificate(Buffer.from(AsnConvert.serialize(whole))).toString();
}

function named(text: string): Name {
  return new Name([
    new RelativeDistinguishedName([
      new AttributeTypeAndValue({ type: commonName, value: new AttributeValue({ utf8String: text }) }),
    ]),
  ]);
}

function critical(extnID: string, value: object): Extension {
  return new Extension({ extnID, critical: true, extnValue: new OctetString(AsnConvert.serialize(value)) });
}

function plain(extnID: string, value: object): Extension {
  return new Extension({ extnID, extnValue: new OctetString(AsnConvert.serialize(value)) });
}

function wholeSecond(moment: Date): Date {
  return new Date(Math.floor(moment.getTime() / 1000) * 1000);
}

function plainBuffer(bytes: Uint8Array): ArrayBuffer {
  return Uint8Array.from(bytes).buffer;
}
