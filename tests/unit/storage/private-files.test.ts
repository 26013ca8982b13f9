import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { makePrivate } from '@/server/storage/private-files'

it.skipIf(process.platform === 'win32')(
  'the board’s own files are for their owner alone, what else lies there is left',
  () => {
    const folder = mkdtempSync(join(tmpdir(), 'stagecall-private-'))
    const own = ['board.db', 'board.db-wal', 'server.lock', 'server.lock-journal', 'running.json']
    for (const name of [...own, 'photo.jpg']) writeFileSync(join(folder, name), '', { mode: 0o644 })
    makePrivate(folder)
    const mode = (name: string) => statSync(join(folder, name)).mode & 0o777
    expect(own.map(mode)).toEqual(own.map(() => 0o600))
    expect(mode('photo.jpg')).toBe(0o644)
    rmSync(folder, { recursive: true })
  },
)
