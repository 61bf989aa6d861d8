#!/usr/bin/env python3
"""Measures and writes docs/validation.md between its marks; the text around them is kept. Needs python3 alone."""

import argparse
import re

import calibration
import literature
import recordings

FIGURES = [('clips', 'clips'), ('minutes', 'minutes'), ('rings', 'rings'), ('recall', 'recall'), ('late', 'late'),
           ('false', 'false'), ('false_per_min', 'false a minute'), ('harmonics', 'harmonics'),
           ('delay_median_s', 'delay median, s'), ('delay_p95_s', 'delay 95 %, s'),
           ('cents_median', 'error median, cents'), ('cents_p95', 'error 95 %, cents')]


def score_lines(scores):
    out = ['| kind | ' + ' | '.join(title for _, title in FIGURES) + ' |', '|---' * (len(FIGURES) + 1) + '|']
    for kind, figures in scores.items():
        out.append(f'| {kind} | ' + ' | '.join(recordings.shown(figures[figure]) for figure, _ in FIGURES) + ' |')
    return out


def replaced(text, mark, lines):
    """`text` with the lines between <!-- mark --> and <!-- end --> exchanged."""
    pattern = re.compile(rf'(<!-- {mark} -->\n).*?(<!-- end -->)', re.DOTALL)
    if not pattern.search(text):
        raise SystemExit(f'no mark "<!-- {mark} -->" ... "<!-- end -->" to write to')
    return pattern.sub(lambda match: match[1] + '\n'.join(lines) + '\n' + match[2], text)


def work():
    parser = argparse.ArgumentParser(description=__doc__)
    literature.add_arguments(parser)
    parser.add_argument('--page', required=True, help='docs/validation.md')
    options = parser.parse_args()
    with open(options.page, encoding='utf-8') as file:
        text = file.read()
    scores = recordings.score(options.score, options.corpus, [options.brink, 'analyse', '--format', 'json'])
    text = replaced(text, 'score', score_lines(scores))
    judged = calibration.judge(options.corpus, options.brink)
    text = replaced(text, 'calibration of flagged rings', calibration.lines(judged['flagged']))
    text = replaced(text, 'calibration of all', calibration.lines(judged['all']))
    text = replaced(text, 'literature', literature.lines(options))
    with open(options.page, 'w', encoding='utf-8') as file:
        file.write(text)


if __name__ == '__main__':
    recordings.main(work)
