import { PIECE_BYTES, type ArchivePlan } from '@/lib/archive'
import type { ServerProcess } from './server-process'

/** Somebody who imports an archive from the Files screen, as far as the server sees it. */
export class Importer {
  constructor(
    readonly server: ServerProcess,
    readonly cookie: string,
    readonly archive: Buffer,
  ) {}

  /** What it took: to send it, to look at it, to take it in, ms. `beforeIt` is called as the last is asked for. @throws when the server does not answer, or refuses. */
  async import(beforeIt?: () => void): Promise<{ sendMs: number; planMs: number; takeMs: number }> {
    const began = performance.now()
    const { id } = await this.#post<{ id: string }>('', { name: 'team.zip', bytes: this.archive.length })
    for (let at = 0; at < this.archive.length; at += PIECE_BYTES)
      await this.#post(`/${id}/pieces/${at}`, this.archive.subarray(at, at + PIECE_BYTES))
    const sent = performance.now()
    const { digest } = await this.#post<ArchivePlan>(`/${id}/plan`, {})
    const planned = performance.now()
    beforeIt?.()
    await this.#post(`/${id}/take`, { conflicts: 'here', digest })
    return { sendMs: sent - began, planMs: planned - sent, takeMs: performance.now() - planned }
  }

  async #post<T>(path: string, body: object): Promise<T> {
    const raw = Buffer.isBuffer(body)
    const res = await fetch(`http://127.0.0.1:${this.server.port}/api/imports${path}`, {
      method: 'POST',
      headers: { cookie: this.cookie, 'content-type': raw ? 'application/octet-stream' : 'application/json' },
      body: raw ? new Uint8Array(body) : JSON.stringify(body),
    })
    if (!res.ok) throw new Error(`${path}: ${res.status} ${await res.text()}`)
    return (await res.json()) as T
  }
}
