/** Answers by what was asked, of which only so many are kept: the one not asked for longest is dropped first. */
export class RecentlyUsed<Answer> {
  private readonly most: number;
  private readonly answers = new Map<string, Answer>();

  constructor(most: number) {
    this.most = most;
  }

  /** The answer that is kept, or the one that is worked out now. */
  get(asked: string, workOut: () => Answer): Answer {
    const answer = this.answers.get(asked) ?? workOut();
    this.keep(asked, answer);
    return answer;
  }

  /** The answer where it is kept: for one that takes time to work out, and may not come. */
  known(asked: string): Answer | undefined {
    const answer = this.answers.get(asked);
    if (answer !== undefined) this.keep(asked, answer);
    return answer;
  }

  keep(asked: string, answer: Answer): void {
    this.answers.delete(asked);
    this.answers.set(asked, answer);
    const [oldest] = this.answers.keys();
    if (this.answers.size > this.most) this.answers.delete(oldest);
  }
}
