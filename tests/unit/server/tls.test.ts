import { X509Certificate } from 'node:crypto'
import { createServer } from 'node:https'
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import type { AddressInfo } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { connect } from 'node:tls'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { isPermittedAddress, LEAF_DAYS, makeAuthority, makeLeaf } from '@/server/tls/certificate-authority'
import { localCertificates } from '@/server/tls/local-certificates'
import { startTrustServer } from '@/server/tls/trust-server'
import { ServerProcess } from '../../support/server-process'

const DAY = 24 * 3600_000
let folder: string
beforeEach(() => void (folder = mkdtempSync(join(tmpdir(), 'stagecall-tls-'))))
afterEach(() => rmSync(folder, { recursive: true }))

/** Connect as a client that trusts only `ca` and expects `name`; null when the handshake is good, else the error's code. */
async function handshake(
  pair: { key: string; cert: string },
  ca: string,
  name: string,
): Promise<string | null> {
  const server = createServer(pair)
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const { port } = server.address() as AddressInfo
  const outcome = await new Promise<string | null>((resolve) => {
    const isAddress = /^[\d.]+$/.test(name)
    const socket = connect({
      port,
      host: '127.0.0.1',
      ca,
      ...(isAddress ? {} : { servername: name }),
      checkServerIdentity: (_, cert) => {
        const x = new X509Certificate(cert.raw)
        const match = isAddress ? x.checkIP(name) : x.checkHost(name)
        return match ? undefined : Object.assign(new Error('wrong name'), { code: 'WRONG_NAME' })
      },
    })
    socket.once('secureConnect', () => {
      socket.destroy()
      resolve(null)
    })
    socket.once('error', (e: NodeJS.ErrnoException) => resolve(`${e.code}: ${e.message}`))
  })
  server.close()
  return outcome
}

describe('local certificates', () => {
  const make = (over: Partial<Parameters<typeof localCertificates>[0]> = {}) =>
    localCertificates({
      folder,
      hostname: 'Pit-Laptop.lan',
      addresses: ['192.168.1.20'],
      now: Date.now(),
      ...over,
    })

  it('a client that trusts the authority trusts the server, at every name and address it has', async () => {
    const { authority, server } = await make()
    for (const name of ['localhost', 'pit-laptop.local', '127.0.0.1', '192.168.1.20'])
      expect(await handshake(server, authority.cert, name), name).toBeNull()
    expect(await handshake(server, authority.cert, 'elsewhere.local')).toMatch(/WRONG_NAME/)
    const stranger = await makeAuthority('other', Date.now())
    expect(await handshake(server, stranger.cert, 'localhost')).not.toBeNull()
  })

  it('the authority can’t vouch for sites on the internet, even for whoever has its key', async () => {
    const authority = await makeAuthority('pit', Date.now())
    const forged = await makeLeaf(authority, ['bank.example'], [], Date.now())
    expect(await handshake(forged, authority.cert, 'bank.example')).toMatch(/permitted subtree violation/)
    const address = await makeLeaf(authority, [], ['203.0.113.9'], Date.now())
    expect(await handshake(address, authority.cert, '203.0.113.9')).toMatch(/permitted subtree violation/)
    const fine = await makeLeaf(authority, ['a.local'], ['10.1.2.3'], Date.now())
    expect(await handshake(fine, authority.cert, '10.1.2.3')).toBeNull()
  })

  it('are kept: nothing is made anew without need, and the key is for its owner’s eyes', async () => {
    const first = await make()
    const second = await make({ now: Date.now() + 100 * DAY })
    expect(second).toEqual(first)
    if (process.platform !== 'win32') expect(statSync(join(folder, 'authority.key.pem')).mode & 0o077).toBe(0)
  })

  it('a new address or a nearing end gives a new certificate by the same authority', async () => {
    const first = await make()
    const moved = await make({ addresses: ['10.0.0.5', '203.0.113.9'] })
    expect(moved.server.cert).not.toBe(first.server.cert)
    expect(moved.authority).toEqual(first.authority)
    expect(moved.uncovered).toEqual(['203.0.113.9'])
    expect(new X509Certificate(moved.server.cert).subjectAltName).toBe(
      'DNS:localhost, DNS:pit-laptop.local, IP Address:10.0.0.5, IP Address:127.0.0.1',
    )
    const later = await make({ addresses: ['10.0.0.5'], now: Date.now() + (LEAF_DAYS - 20) * DAY })
    expect(later.server.cert).not.toBe(moved.server.cert)
    expect(later.authority).toEqual(first.authority)
  })

  it('damaged files are replaced', async () => {
    const first = await make()
    writeFileSync(join(folder, 'server.key.pem'), 'garbage')
    const second = await make()
    expect(second.authority).toEqual(first.authority)
    expect(await handshake(second.server, second.authority.cert, 'localhost')).toBeNull()
  })

  it('private addresses are those of RFC 1918, 6598, 3927 and 1122', () => {
    for (const a of [
      '10.255.0.1',
      '172.16.0.1',
      '172.31.255.255',
      '192.168.0.1',
      '100.64.0.1',
      '169.254.9.9',
      '127.0.0.1',
    ])
      expect(isPermittedAddress(a), a).toBe(true)
    for (const a of [
      '11.0.0.1',
      '172.32.0.1',
      '172.15.0.1',
      '192.169.0.1',
      '100.128.0.1',
      '8.8.8.8',
      'fd00::1',
      'x',
    ])
      expect(isPermittedAddress(a), a).toBe(false)
  })
})

describe('the trust page', () => {
  it('explains, hands out the authority, and does nothing else', async () => {
    const { authority } = await localCertificates({ folder, hostname: 'pit', addresses: [], now: Date.now() })
    const server = await startTrustServer({
      port: 0,
      host: '127.0.0.1',
      boardPort: 4310,
      authority,
      allowedHosts: [],
    })
    const origin = `http://127.0.0.1:${server.port}`
    const page = await fetch(`${origin}/`)
    const html = await page.text()
    expect(page.url).toBe(`${origin}/trust`)
    expect(html).toContain(authority.fingerprint)
    expect(html).toContain('href="https://127.0.0.1:4310"')
    expect(html).not.toContain('<script')
    const path = /href="([^"]+\.crt)"/.exec(html)?.[1] ?? ''
    const file = await fetch(origin + path)
    expect(file.headers.get('content-type')).toBe('application/x-x509-ca-cert')
    expect(new X509Certificate(Buffer.from(await file.arrayBuffer())).fingerprint256).toBe(
      authority.fingerprint,
    )
    expect((await fetch(`${origin}/trust`, { method: 'POST' })).status).toBe(400)
    await server.close()
  })
})

it('npm start -- --https serves the board over TLS with secure cookies and says how to trust it', async () => {
  const server = await ServerProcess.start({ screens: false, args: ['--https'] })
  try {
    expect(server.links[0]?.url).toMatch(/^https:/)
    const ca = readFileSync(join(server.dataFolder, 'tls', 'authority.cert.pem'), 'utf8')
    const fingerprint = new X509Certificate(ca).fingerprint256
    expect(server.output).toContain(fingerprint)
    const trustUrl = /http:\/\/[^\s]+\/trust/.exec(server.output)?.[0] ?? ''
    expect(await (await fetch(trustUrl)).text()).toContain(fingerprint)
    const answer = await server.request(
      'POST',
      '/api/join',
      { code: server.invite('guest').code, name: 'Gus' },
      ca,
    )
    expect(answer.status).toBe(200)
    expect(answer.setCookie).toMatch(/; Secure$/)
    expect(await server.stop()).toBe(0)
  } finally {
    await server.dispose()
  }
})
