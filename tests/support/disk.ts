import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const FULL_DISK = fileURLToPath(new URL('full-disk.mjs', import.meta.url))

/** The disk of a server under test, which can be full. It stays as it is when the server is restarted. Needs no rights and no mounting. */
export class Disk {
  readonly #folder = mkdtempSync(join(tmpdir(), 'stagecall-disk-'))
  readonly #flag = join(this.#folder, 'full')

  /** For `ServerProcess.start`. */
  get env(): Record<string, string> {
    return { NODE_OPTIONS: `--import=${FULL_DISK}`, DISK_FULL_WHILE: this.#flag }
  }
  /** From now on nothing can be written. */
  fill(): void {
    writeFileSync(this.#flag, '')
  }
  /** From now on there is room again. */
  free(): void {
    rmSync(this.#flag, { force: true })
  }
  dispose(): void {
    rmSync(this.#folder, { recursive: true, force: true })
  }
}
