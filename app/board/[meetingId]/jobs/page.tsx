import type { Metadata } from 'next'
import { MyJobsScreen } from '@/app/board/[meetingId]/order/my-jobs-screen'

export const metadata: Metadata = { title: 'My jobs' }

export default function MyJobsPage() {
  return <MyJobsScreen />
}
