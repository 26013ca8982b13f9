import { request } from 'node:http'

export interface Ask {
  method?: 'GET' | 'POST'
  /** The Host header; this machine's address without it. */
  host?: string
  path: string
  /** Bytes are a picture, text is sent as it is, anything else as JSON. */
  body?: unknown
  headers?: Record<string, string> | undefined
  cookie?: string | undefined
  /** An address of this machine to come from. */
  from?: string | undefined
}

export interface HttpAnswer {
  status: number
  headers: Record<string, string | string[] | undefined> & { 'set-cookie'?: string[] }
  text: string
  ms: number
}

/** A request over HTTP to a server on this machine, by the name that it is asked for. Status 0 when the connection broke. */
export function askAt(port: number, ask: Ask): Promise<HttpAnswer> {
  const { method = 'GET', host, path, body, cookie, from, headers } = ask
  const start = performance.now()
  return new Promise((resolve) => {
    const done = (status: number, headers: HttpAnswer['headers'], text: string) =>
      resolve({ status, headers, text, ms: performance.now() - start })
    const isBytes = body instanceof Uint8Array
    const req = request(
      {
        host: '127.0.0.1',
        port,
        method,
        path,
        agent: false,
        ...(from !== undefined && { localAddress: from }),
        headers: {
          ...(host !== undefined && { host }),
          ...(body !== undefined && { 'content-type': isBytes ? 'image/jpeg' : 'application/json' }),
          ...(cookie !== undefined && { cookie }),
          ...headers,
        },
      },
      (res) => {
        let text = ''
        res.on('data', (chunk: Buffer) => void (text += chunk.toString()))
        res.on('end', () => done(res.statusCode ?? 0, res.headers, text))
        res.on('error', () => done(0, {}, text))
      },
    )
    req.on('error', (e) => done(0, {}, e.message))
    req.end(
      body === undefined ? undefined : isBytes || typeof body === 'string' ? body : JSON.stringify(body),
    )
  })
}
