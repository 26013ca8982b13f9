/** The database's name in its data folder. Its log and shared memory carry `-wal` and `-shm` behind it. */
export const DATABASE_FILE = 'board.db'
