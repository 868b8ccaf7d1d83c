/** Marks a missing reading in the columns of a weather year. */
export const missingReading = -32768;
/** Rain too little to measure. */
export const traceRain = -1;

export interface Station {
  name: string;
  latitude: number;
  longitude: number;
  /** IANA zone; hours of a prescription are its standard time, without summer time. */
  timeZone: string;
  /** True for a made-up history of the sample land; said wherever its figures show. */
  isInvented: boolean;
}

/** A station with what is stored of it. */
export interface StationSummary extends Station {
  /** First and last year with readings or counts. */
  fromYear: number;
  toYear: number;
  /** Hours with at least one reading. */
  hours: number;
}

/** What a year of a station holds: hours and days with at least one reading. */
export interface YearHeld {
  year: number;
  hours: number;
  days: number;
}

/** Hourly observations of one year in UTC; index 0 = 1 January 00 h; length 8760 or 8784. */
export interface WeatherYear {
  year: number;
  temperatureC10: Int16Array;
  dewPointC10: Int16Array;
  windMs10: Int16Array;
  windDirectionDegrees: Int16Array;
  /** Rain of the hour in tenths of a millimetre; `traceRain` = trace. */
  rainMm10: Int16Array;
  /** Highest gust of the hour. Absent = none on record in the year. */
  gustMs10?: Int16Array;
  /** Snow on the ground in centimetres. Absent = none on record in the year. */
  snowCm?: Int16Array;
}

/** Daily observations of one year, local days; index 0 = 1 January; length 365 or 366; `missingReading` = missing. */
export interface DailyYear {
  year: number;
  highC10: Int16Array;
  lowC10: Int16Array;
  /** Tenths of a millimetre; `traceRain` = trace. */
  rainMm10: Int16Array;
  /** Snow on the ground in centimetres. */
  snowCm: Int16Array;
  /** Mean wind and highest gust of the day, tenths of a metre a second. */
  windMs10: Int16Array;
  gustMs10: Int16Array;
}

/** Fit days of one prescription at one station in one year. */
export interface FitDayCount {
  year: number;
  /** 24 half-months, 1-15 January first. */
  halfMonths: number[];
  /** Hours inside the prescription's hours of day that lacked a needed element. */
  unknownHours: number;
  /** False when the year has no observation in some month. */
  isWholeYear: boolean;
}
