import type { Metadata } from 'next'
import { ClassScreen } from './class-screen'

export const metadata: Metadata = { title: 'Class' }

export default async function ClassPage({ params }: { params: Promise<{ classId: string }> }) {
  const { classId } = await params
  return <ClassScreen classId={classId} />
}
