/** A stored time as the person's clock shows it: `2026-11-25 14:05`; sorts as text and can't be misread. */
export function shownTime(iso: string): string {
  const time = new Date(iso);
  if (Number.isNaN(time.getTime())) return iso;
  const two = (value: number) => String(value).padStart(2, '0');
  return `${shownDay(iso)} ${two(time.getHours())}:${two(time.getMinutes())}`;
}

export function shownDay(iso: string): string {
  const time = new Date(iso);
  if (Number.isNaN(time.getTime())) return iso;
  const two = (value: number) => String(value).padStart(2, '0');
  return `${time.getFullYear()}-${two(time.getMonth() + 1)}-${two(time.getDate())}`;
}
