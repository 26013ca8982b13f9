import type { IncomingMessage } from 'node:http'
import { ok, refuse, type Result } from '@/lib/core/result'

const BODY_LIMIT = 64 * 1024

/** What was read; a refusal's `status` is what HTTP calls it. */
interface ReadBody<T> {
  status: number
  result: Result<T>
}

/** A request's body, of one of these types and at most `limit` bytes. */
export async function readBody(
  req: IncomingMessage,
  types: readonly string[],
  limit: number,
): Promise<ReadBody<Buffer>> {
  const type = (req.headers['content-type'] ?? '').split(';')[0]?.trim().toLowerCase() ?? ''
  if (!types.includes(type)) {
    const wanted = types.join(' or ')
    return { status: 415, result: refuse('Content-Type', type, `it is not ${wanted}`, `Send ${wanted}.`) }
  }
  const tooLarge = () => ({
    status: 413,
    result: refuse('Body', '', `it is larger than ${limit} bytes`, 'Send less at once.'),
  })
  if (Number(req.headers['content-length'] ?? 0) > limit) return tooLarge()
  const chunks: Buffer[] = []
  let size = 0
  for await (const chunk of req as AsyncIterable<Buffer>) {
    size += chunk.length
    if (size > limit) return tooLarge()
    chunks.push(chunk)
  }
  return { status: 200, result: ok(Buffer.concat(chunks)) }
}

/** A request's body as JSON. */
export async function readJsonBody(req: IncomingMessage, limit = BODY_LIMIT): Promise<ReadBody<unknown>> {
  const read = await readBody(req, ['application/json'], limit)
  if (!read.result.ok) return { status: read.status, result: read.result }
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(read.result.value)
    return { status: 200, result: ok(JSON.parse(text)) }
  } catch {
    return {
      status: 400,
      result: refuse('Body', '', 'it is not valid JSON', 'Reload the page and try again.'),
    }
  }
}
