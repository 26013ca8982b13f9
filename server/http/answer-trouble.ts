import type { ServerResponse } from 'node:http'
import { refuse } from '@/lib/core/result'

/** Say that the board can't be had now; the connection ends with it, since the request's body may not have been read. */
export function answerTrouble(res: ServerResponse, reason: string, remedy: string): void {
  if (res.headersSent || res.destroyed) return void res.destroy()
  const { error } = refuse('Board', '', reason, remedy)
  res.writeHead(503, {
    'Content-Type': 'application/json; charset=utf-8',
    'Cache-Control': 'no-store',
    'Retry-After': '1',
    Connection: 'close',
  })
  res.end(JSON.stringify({ error }))
}
