import type { IncomingMessage } from 'node:http'
import { ok, refuse, type Result } from '@/lib/core/result'

export const BODY_LIMIT = 64 * 1024

/** A request's body as JSON. The refusal's `status` is what HTTP calls it. */
export async function readJsonBody(
  req: IncomingMessage,
  limit = BODY_LIMIT,
): Promise<{ status: number; result: Result<unknown> }> {
  const type = (req.headers['content-type'] ?? '').split(';')[0]?.trim().toLowerCase()
  if (type !== 'application/json')
    return { status: 415, result: refuse('Content-Type', type, 'it is not JSON', 'Send application/json.') }
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
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(Buffer.concat(chunks))
    return { status: 200, result: ok(JSON.parse(text)) }
  } catch {
    return {
      status: 400,
      result: refuse('Body', '', 'it is not valid JSON', 'Reload the page and try again.'),
    }
  }
}
