// What the scripts of a page find when they run: made by the build (status.js, words.js) or by an
// earlier script. `served` is only there where weeksync serves the page.
declare const lastGood: Record<string, string> | undefined;
declare const built: string | undefined;
declare const served:
  | { home: string; signedIn: boolean; person: string; address: string; edit: string; lockSeconds?: number; links?: [string, string][] }
  | undefined;

interface SaidMark {
  id: string;
  date: string;
  person: string;
  value: string;
  /** What the page itself says there, "" for nothing; undo needs it. */
  was?: string;
}

interface WeekMarks {
  /** Keeps marks and sends them as soon as that can be; undo takes them back together. */
  add(list: SaidMark[]): void;
  /** What this browser holds for the day, beyond what the page says. */
  held(id: string, date: string): string | undefined;
  /** How many marks have not reached home. */
  waiting(): number;
  /** Calls after each change of what is held. */
  onChange(listener: () => void): void;
  /** Says a sentence in the live region of the bar. */
  say(text: string): void;
  /** The marks that home did not take, with its reason. */
  refused(): (SaidMark & { refused?: string })[];
}

declare const weekMarks: WeekMarks;
interface Window {
  weekMarks: WeekMarks;
}
