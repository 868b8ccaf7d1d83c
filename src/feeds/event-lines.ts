import ical, {
  ICalEvent,
  ICalEventBusyStatus,
  type ICalEventData,
  ICalEventStatus,
  ICalEventTransparency,
} from 'ical-generator';
import { type IsoDate, isoDate } from '../core/dates.ts';
import { cleanLine } from './content-lines.ts';

/** An all-day event before it becomes text. */
export interface FeedEvent {
  uid: string;
  sequence: number;
  /** UTC instants `YYYY-MM-DDTHH:MM:SSZ`. */
  revisedAt: string;
  createdAt: string;
  startsOn: IsoDate;
  endsBefore: IsoDate;
  status: 'tentative' | 'confirmed' | 'cancelled';
  isFreeTime: boolean;
  summary: string;
  description: string[];
  location: string | null;
  categories: string[];
}

/** Events ask their calendar for a time zone; this one has none and keeps nothing. */
const blankCalendar = ical();

const statuses = {
  tentative: ICalEventStatus.TENTATIVE,
  confirmed: ICalEventStatus.CONFIRMED,
  cancelled: ICalEventStatus.CANCELLED,
};

const instantPattern = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$/;

function checked(event: FeedEvent): FeedEvent {
  for (const at of [event.revisedAt, event.createdAt])
    if (!instantPattern.test(at) || Number.isNaN(Date.parse(at)))
      throw new RangeError(`feed: not a UTC instant: ${at}`);
  if (isoDate(event.startsOn) >= isoDate(event.endsBefore))
    throw new RangeError(`feed: an entry ends on ${event.endsBefore}, not after ${event.startsOn}`);
  if (!Number.isSafeInteger(event.sequence) || event.sequence < 0)
    throw new RangeError(`feed: not a sequence number: ${event.sequence}`);
  if (!/^[\x21-\x7e]{1,254}$/.test(event.uid))
    throw new RangeError('feed: a uid is empty, too long or not plain text');
  return event;
}

/** Busy only when confirmed crew days; a tentative slot says so to programs that know that state. */
function busyStatus(event: FeedEvent): ICalEventBusyStatus {
  if (event.isFreeTime || event.status === 'cancelled') return ICalEventBusyStatus.FREE;
  return event.status === 'tentative' ? ICalEventBusyStatus.TENTATIVE : ICalEventBusyStatus.BUSY;
}

/**
 * The unfolded lines of one VEVENT, BEGIN and END left out. The only use of ical-generator: its event text is
 * right when dates are plain strings, the calendar has no time zone, the stamp is given and text is clean; its
 * calendar header, URLs, GEO and relations are not used. Throws RangeError on a row that cannot be right.
 */
export function eventLines(event: FeedEvent): string[] {
  const { uid, sequence, revisedAt, createdAt, startsOn, endsBefore, status } = checked(event);
  const busystatus = busyStatus(event);
  const data: ICalEventData = {
    id: uid,
    sequence,
    stamp: revisedAt,
    lastModified: revisedAt,
    created: createdAt,
    start: startsOn,
    end: endsBefore,
    allDay: true,
    status: statuses[status],
    transparency:
      busystatus === ICalEventBusyStatus.BUSY
        ? ICalEventTransparency.OPAQUE
        : ICalEventTransparency.TRANSPARENT,
    busystatus,
    summary: cleanLine(event.summary),
    description: event.description.map(cleanLine).join('\n'),
    categories: event.categories.map((name) => ({ name: cleanLine(name).replaceAll(',', ' ') })),
  };
  const location = event.location === null ? '' : cleanLine(event.location);
  if (location !== '') data.location = { title: location };
  const text = new ICalEvent(data, blankCalendar).toString();
  return text.split('\r\n').filter((line) => line !== '' && !/^(BEGIN|END):VEVENT$/.test(line));
}
