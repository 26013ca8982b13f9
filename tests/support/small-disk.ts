import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, statfsSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** A real file system of a few MiB, which can be full. It takes the right to mount, which not every machine gives. */
export class SmallDisk {
  readonly folder = mkdtempSync(join(tmpdir(), 'stagecall-small-'))
  readonly #filler = join(this.folder, 'filler')

  constructor(kib: number) {
    execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${kib}k`, 'tmpfs', this.folder], { stdio: 'pipe' })
  }
  static get isPossible(): boolean {
    try {
      new SmallDisk(64).dispose()
      return true
    } catch {
      return false
    }
  }
  get freeKib(): number {
    const { bavail, bsize } = statfsSync(this.folder)
    return (bavail * bsize) / 1024
  }
  /** Fill it but for so many KiB. */
  fillBut(kib: number): void {
    this.free()
    writeFileSync(this.#filler, Buffer.alloc(Math.max(0, this.freeKib - kib) * 1024))
  }
  free(): void {
    rmSync(this.#filler, { force: true })
  }
  dispose(): void {
    execFileSync('umount', [this.folder], { stdio: 'pipe' })
    rmSync(this.folder, { recursive: true, force: true })
  }
}
