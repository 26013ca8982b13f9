import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { X509Certificate } from 'node:crypto'
import { isOwnHost } from '../http/host-check'
import { parseUrl } from '../http/request-listener'
import { setSecurityHeaders } from '../http/security-headers'
import { AUTHORITY_PATH, trustPage } from './trust-page'

interface Inputs {
  port: number
  host: string | undefined
  /** The board's port, over https. */
  boardPort: number
  authority: { cert: string; fingerprint: string }
  allowedHosts: readonly string[]
}

export interface TrustServer {
  port: number
  close(): Promise<void>
}

const POLICY = `default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'`

/** Plain HTTP beside the board's HTTPS, for phones that don't trust it yet: one page and one certificate, nothing else. */
export async function startTrustServer(inputs: Inputs): Promise<TrustServer> {
  const server = createServer((req, res) => answer(inputs, req, res))
  const port = await listen(server, inputs.port, inputs.host).catch((e: NodeJS.ErrnoException) => {
    // The page's port is not important enough to fail for.
    if (e.code === 'EADDRINUSE') return listen(server, 0, inputs.host)
    throw e
  })
  return {
    port,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        server.closeAllConnections()
      }),
  }
}

function answer(
  { boardPort, authority, allowedHosts }: Inputs,
  req: IncomingMessage,
  res: ServerResponse,
): void {
  setSecurityHeaders(res, POLICY)
  res.setHeader('Cache-Control', 'no-store')
  const path = parseUrl(req.url)?.pathname
  const { host } = req.headers
  if (
    path === undefined ||
    !isOwnHost(host, allowedHosts) ||
    (req.method !== 'GET' && req.method !== 'HEAD')
  ) {
    res.writeHead(400).end()
  } else if (path === AUTHORITY_PATH) {
    // DER: every phone's installer takes it.
    res.writeHead(200, { 'Content-Type': 'application/x-x509-ca-cert' })
    res.end(new X509Certificate(authority.cert).raw)
  } else if (path === '/trust') {
    const boardOrigin = `https://${host.replace(/:\d+$/, '')}:${boardPort}`
    res.writeHead(200, { 'Content-Type': 'text/html; charset=utf-8' })
    res.end(trustPage({ boardOrigin, fingerprint: authority.fingerprint }))
  } else res.writeHead(302, { Location: '/trust' }).end()
}

const listen = (server: Server, port: number, host: string | undefined): Promise<number> =>
  new Promise((resolve, reject) => {
    server.once('error', reject)
    server.listen({ port, ...(host !== undefined && { host }) }, () => {
      server.off('error', reject)
      resolve((server.address() as AddressInfo).port)
    })
  })
