'use client'
import { useParams } from 'next/navigation'

/** The meeting of the page. */
export const useMeetingId = (): string => useParams<{ meetingId: string }>().meetingId
