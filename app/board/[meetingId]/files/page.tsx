import type { Metadata } from 'next'
import { FilesScreen } from '@/app/files/files-screen'

export const metadata: Metadata = { title: 'Files' }

export default function MeetingFilesPage() {
  return <FilesScreen />
}
