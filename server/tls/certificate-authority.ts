// The certificate library's parts find each other through it.
import 'reflect-metadata'
import { BlockList, isIP } from 'node:net'
import { webcrypto } from 'node:crypto'
import { AsnConvert } from '@peculiar/asn1-schema'
import {
  GeneralName,
  GeneralSubtree,
  GeneralSubtrees,
  id_ce_nameConstraints,
  NameConstraints,
} from '@peculiar/asn1-x509'
import * as x509 from '@peculiar/x509'

x509.cryptoProvider.set(webcrypto as Crypto)

export interface KeyAndCertificate {
  /** PKCS #8, PEM. */
  key: string
  /** PEM. */
  cert: string
}

const KEYS = { name: 'ECDSA', namedCurve: 'P-256' } as const
const SIGNING = { name: 'ECDSA', hash: 'SHA-256' } as const
const DAY_MS = 24 * 3600_000
const CA_DAYS = 3650
/** Phones refuse certificates that live much longer, even from an authority that they were told to trust. */
export const LEAF_DAYS = 200
/** The clocks of phones in the pit are not always right. */
const BACKDATED_MS = DAY_MS

/** Private, shared, link-local and loopback networks: RFC 1918, RFC 6598, RFC 3927, RFC 1122. */
const PERMITTED_NETWORKS = [
  ['10.0.0.0', 8],
  ['172.16.0.0', 12],
  ['192.168.0.0', 16],
  ['100.64.0.0', 10],
  ['169.254.0.0', 16],
  ['127.0.0.0', 8],
] as const

const permitted = new BlockList()
for (const [network, prefix] of PERMITTED_NETWORKS) permitted.addSubnet(network, prefix)

/** May the authority vouch for this IPv4 address? */
export const isPermittedAddress = (address: string): boolean =>
  isIP(address) === 4 && permitted.check(address)

/** Names the authority may vouch for, with all below them. A laptop's full name changes with the network it is in; `.local` does not. */
const PERMITTED_NAMES = ['localhost', 'local'] as const

/**
 * A certificate authority of this machine's own. Its name constraints (RFC 5280, section 4.2.1.10) let it vouch for private networks and
 * local names only: whoever steals its key from the laptop still can't stand in for a site on the internet.
 */
export async function makeAuthority(hostname: string, now: number): Promise<KeyAndCertificate> {
  const keys = await webcrypto.subtle.generateKey(KEYS, true, ['sign', 'verify'])
  const subtrees = [
    ...PERMITTED_NAMES.map((dNSName) => new GeneralName({ dNSName })),
    ...PERMITTED_NETWORKS.map(([network, prefix]) => new GeneralName({ iPAddress: `${network}/${prefix}` })),
  ].map((base) => new GeneralSubtree({ base }))
  const constraints = new NameConstraints({ permittedSubtrees: new GeneralSubtrees(subtrees) })
  const cert = await x509.X509CertificateGenerator.createSelfSigned({
    serialNumber: serialNumber(),
    name: `CN=Stagecall on ${hostname.replace(/[^A-Za-z0-9.-]/g, '') || 'this machine'}, O=Local certificate authority`,
    notBefore: new Date(now - BACKDATED_MS),
    notAfter: new Date(now + CA_DAYS * DAY_MS),
    signingAlgorithm: SIGNING,
    keys,
    extensions: [
      new x509.BasicConstraintsExtension(true, 0, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.keyCertSign | x509.KeyUsageFlags.cRLSign, true),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      new x509.Extension(id_ce_nameConstraints, true, AsnConvert.serialize(constraints)),
    ],
  })
  return { key: await exportKey(keys.privateKey), cert: cert.toString('pem') }
}

/** A server certificate for these names and addresses, signed by the authority. */
export async function makeLeaf(
  authority: KeyAndCertificate,
  names: readonly string[],
  addresses: readonly string[],
  now: number,
): Promise<KeyAndCertificate> {
  const issuer = new x509.X509Certificate(authority.cert)
  const signingKey = await webcrypto.subtle.importKey(
    'pkcs8',
    x509.PemConverter.decodeFirst(authority.key),
    KEYS,
    false,
    ['sign'],
  )
  const keys = await webcrypto.subtle.generateKey(KEYS, true, ['sign', 'verify'])
  const cert = await x509.X509CertificateGenerator.create({
    serialNumber: serialNumber(),
    subject: 'CN=Stagecall',
    issuer: issuer.subject,
    notBefore: new Date(now - BACKDATED_MS),
    notAfter: new Date(now + LEAF_DAYS * DAY_MS),
    signingAlgorithm: SIGNING,
    publicKey: keys.publicKey,
    signingKey,
    extensions: [
      new x509.BasicConstraintsExtension(false, undefined, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
      new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth]),
      new x509.SubjectAlternativeNameExtension([
        ...names.map((value) => ({ type: 'dns' as const, value })),
        ...addresses.map((value) => ({ type: 'ip' as const, value })),
      ]),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      await x509.AuthorityKeyIdentifierExtension.create(issuer),
    ],
  })
  return { key: await exportKey(keys.privateKey), cert: cert.toString('pem') }
}

/** Positive, 127 random bits (RFC 5280, section 4.1.2.2). */
function serialNumber(): string {
  const bytes = webcrypto.getRandomValues(new Uint8Array(16))
  bytes[0] = ((bytes[0] ?? 0) & 0x7f) | 0x40
  return Buffer.from(bytes).toString('hex')
}

async function exportKey(key: webcrypto.CryptoKey): Promise<string> {
  return x509.PemConverter.encode(await webcrypto.subtle.exportKey('pkcs8', key), 'PRIVATE KEY')
}
