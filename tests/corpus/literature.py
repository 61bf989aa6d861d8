#!/usr/bin/env python3
"""brink beside published criteria, on the same labelled recordings with the same script. Needs python3 alone."""

import argparse

import recordings

FIGURES = [('recall', 'recall'), ('false_per_min', 'false a minute'), ('harmonics', 'of them harmonics'), ('f1', 'F1'),
           ('delay_median_s', 'delay median, s'), ('delay_p95_s', 'delay 95 %, s'),
           ('cents_median', 'error median, cents'), ('cents_p95', 'error 95 %, cents')]

CRITERIA = [('PHPR >= 30 dB and IPMP >= 3/5', ['phpr-ipmp']),
            ('FEP >= 0.95', ['fep']),
            ('FEP >= 0.7', ['fep', '--threshold', '0.7']),
            ('NINOS2-T >= 0.98, 32 looks', ['ninos2-t'])]


def lines(options):
    out = ['| method | ' + ' | '.join(title for _, title in FIGURES) + ' |', '|---' * (len(FIGURES) + 1) + '|']
    commands = [('brink analyse', [options.brink, 'analyse', '--format', 'json'])]
    commands += [(title, [options.criterion, '--criterion', *arguments]) for title, arguments in CRITERIA]
    for title, command in commands:
        total = recordings.score(options.score, options.corpus, command)['all']
        out.append(f'| {title} | ' + ' | '.join(recordings.shown(total[figure]) for figure, _ in FIGURES) + ' |')
    return out


def add_arguments(parser):
    recordings.add_arguments(parser)
    parser.add_argument('--score', required=True, help='scoring script')
    parser.add_argument('--criterion', required=True, help='brink_criterion')


def work():
    parser = argparse.ArgumentParser(description=__doc__)
    add_arguments(parser)
    print('\n'.join(lines(parser.parse_args())))


if __name__ == '__main__':
    recordings.main(work)
