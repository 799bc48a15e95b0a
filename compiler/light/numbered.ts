/** Small numbers that stand for long texts. */

/** Numbers for texts: equal texts have equal numbers. */
export class Numbered {
  private readonly known = new Map<string, number>();

  of(text: string): number {
    const number = this.known.get(text) ?? this.known.size;
    this.known.set(text, number);
    return number;
  }
}
