import { createPrivateKey, X509Certificate } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { isPermittedAddress, makeAuthority, makeLeaf, type KeyAndCertificate } from './certificate-authority'

/** Renewed when less than this is left. */
const RENEW_BEFORE_MS = 30 * 24 * 3600_000

export interface LocalCertificates {
  authority: { cert: string; fingerprint: string }
  server: KeyAndCertificate
  /** Addresses that the certificate can't cover: phones are warned there. */
  uncovered: string[]
}

interface Inputs {
  /** Where certificates are kept. */
  folder: string
  hostname: string
  /** This machine's addresses in the network. */
  addresses: readonly string[]
  now: number
}

/**
 * The certificates for HTTPS in a network without internet: an authority that is made once, which phones learn to trust, and a server
 * certificate signed by it, made anew when it nears its end or this machine's addresses or name have changed.
 */
export async function localCertificates({
  folder,
  hostname,
  addresses,
  now,
}: Inputs): Promise<LocalCertificates> {
  mkdirSync(folder, { recursive: true, mode: 0o700 })
  const authority = readPair(folder, 'authority', now) ?? (await makeAuthority(hostname, now))
  writePair(folder, 'authority', authority)
  const covered = [...new Set(['127.0.0.1', ...addresses.filter(isPermittedAddress)])].sort()
  const names = ['localhost', localName(hostname)].sort()
  let server = readPair(folder, 'server', now)
  if (!server || !isFor(server, authority, names, covered)) {
    server = await makeLeaf(authority, names, covered, now)
    writePair(folder, 'server', server)
  }
  const { fingerprint256 } = new X509Certificate(authority.cert)
  return {
    authority: { cert: authority.cert, fingerprint: fingerprint256 },
    server,
    uncovered: addresses.filter((a) => !isPermittedAddress(a)),
  }
}

/** The name that this machine goes by in multicast DNS (RFC 6762). */
const localName = (hostname: string): string =>
  `${(hostname.toLowerCase().split('.')[0] ?? '').replace(/[^a-z0-9-]/g, '') || 'stagecall'}.local`

function isFor(
  { cert }: KeyAndCertificate,
  authority: KeyAndCertificate,
  names: readonly string[],
  addresses: readonly string[],
): boolean {
  const leaf = new X509Certificate(cert)
  if (!leaf.verify(new X509Certificate(authority.cert).publicKey)) return false
  const has = (leaf.subjectAltName ?? '').split(', ').sort()
  const wants = [...names.map((n) => `DNS:${n}`), ...addresses.map((a) => `IP Address:${a}`)].sort()
  return has.join() === wants.join()
}

/** A pair from the folder; null when there is none, its time is nearly up, or it can't be used. */
function readPair(folder: string, name: string, now: number): KeyAndCertificate | null {
  const [keyFile, certFile] = filesOf(folder, name)
  if (!existsSync(keyFile) || !existsSync(certFile)) return null
  const pair = { key: readFileSync(keyFile, 'utf8'), cert: readFileSync(certFile, 'utf8') }
  try {
    const cert = new X509Certificate(pair.cert)
    const usable =
      Date.parse(cert.validTo) - now > RENEW_BEFORE_MS &&
      Date.parse(cert.validFrom) <= now &&
      cert.checkPrivateKey(createPrivateKey(pair.key))
    return usable ? pair : null
  } catch {
    return null // damaged files are replaced like expired ones
  }
}

function writePair(folder: string, name: string, pair: KeyAndCertificate): void {
  const [keyFile, certFile] = filesOf(folder, name)
  for (const [file, content, mode] of [
    [keyFile, pair.key, 0o600],
    [certFile, pair.cert, 0o644],
  ] as const) {
    if (existsSync(file) && readFileSync(file, 'utf8') === content) continue
    writeFileSync(`${file}.part`, content, { mode })
    renameSync(`${file}.part`, file)
  }
}

const filesOf = (folder: string, name: string): [key: string, cert: string] => [
  join(folder, `${name}.key.pem`),
  join(folder, `${name}.cert.pem`),
]
