/** The database's name in its data folder. */
export const DATABASE_FILE = 'board.db'

/** Endings of the files that belong together: the database, its log, the memory that programs share over it, the mark of the last commit. */
export const PARTS = ['', '-wal', '-shm', '-mark'] as const
