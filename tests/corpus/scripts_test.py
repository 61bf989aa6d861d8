#!/usr/bin/env python3
"""What the scripts here must do, on recordings and scores made up by hand. Needs python3 alone."""

import json
import os
import stat
import subprocess
import sys
import tempfile
import unittest

import calibration
import check_floors
import write_validation

HERE = os.path.dirname(os.path.abspath(__file__))

CLIP = {'clip': 'a.wav', 'kind': 'ring', 'duration_s': 10.0, 'near_brink_hz': [2000.0],
        'rings': [{'frequency_hz': 1000.0, 'range_hz': [1000.0, 1004.0], 'unstable_s': 5.0, 'dominant_s': 6.0}]}


def ring(frequency_hz, flagged_s=6.0, onset_s=5.5):
    return {'frequency_hz': frequency_hz, 'flagged_s': flagged_s, 'onset_s': onset_s}


class Floors(unittest.TestCase):
    FLOORS = {'all': {'recall': {'at_least': 0.9}, 'false_per_min': {'at_most': 0.2}}}

    def test_what_keeps_its_floors_passes(self):
        self.assertEqual(check_floors.failures(self.FLOORS, {'all': {'recall': 0.9, 'false_per_min': 0.2}}), [])

    def test_each_figure_behind_its_floor_is_named(self):
        found = check_floors.failures(self.FLOORS, {'all': {'recall': 0.89, 'false_per_min': 0.21}})
        self.assertEqual(found, ['all: recall 0.89 is under 0.9', 'all: false_per_min 0.21 is over 0.2'])

    def test_a_figure_that_is_not_there_fails(self):
        found = check_floors.failures(self.FLOORS, {'all': {'recall': float('nan')}})
        self.assertEqual(len(found), 2)

    def test_told_is_what_was_flagged_in_time_and_still_sounds(self):
        label = {'frequency_hz': 1000.0, 'unstable_s': 5.0, 'dominant_s': 6.0}
        for flagged_s, ended_s, expected in ((2.0, None, True), (2.0, 9.0, True), (2.0, 4.0, False), (6.9, None, True),
                                             (7.1, None, False)):
            ring = {'frequency_hz': 1003.0, 'flagged_s': flagged_s, 'ended_s': ended_s}
            self.assertEqual(check_floors.is_told(label, [ring]), expected, (flagged_s, ended_s))
        self.assertFalse(check_floors.is_told(label, [{'frequency_hz': 1020.0, 'flagged_s': 5.5, 'ended_s': None}]))

    def run_script(self, directory, figures):
        """check_floors.py as ctest runs it, with a scoring script that prints `figures`."""
        script = os.path.join(directory, 'score')
        with open(script, 'w', encoding='utf-8') as file:
            file.write(f"#!/bin/sh\ncat <<'END'\n{json.dumps({'all': figures})}\nEND\n")
        os.chmod(script, stat.S_IRWXU)
        floors = os.path.join(directory, 'floors.json')
        with open(floors, 'w', encoding='utf-8') as file:
            json.dump(self.FLOORS, file)
        return subprocess.run([sys.executable, os.path.join(HERE, 'check_floors.py'), '--corpus', directory,
                               '--score', script, '--floors', floors, '--brink', 'brink'],
                              capture_output=True, text=True)

    def test_the_exit_status_says_skipped_passed_or_failed(self):
        with tempfile.TemporaryDirectory() as directory:
            run = self.run_script(directory, {'recall': 1.0, 'false_per_min': 0.0})
            self.assertEqual(run.returncode, 77)
            self.assertTrue(run.stdout.startswith('skipped: no labelled recordings at '), run.stdout)
            with open(os.path.join(directory, 'truth.json'), 'w', encoding='utf-8') as file:
                file.write('[]')
            self.assertEqual(self.run_script(directory, {'recall': 1.0, 'false_per_min': 0.0}).returncode, 0)
            self.assertEqual(self.run_script(directory, {'recall': 0.5, 'false_per_min': 0.0}).returncode, 1)


class Calibration(unittest.TestCase):
    def test_verdicts(self):
        for frequency_hz, flagged_s, word in ((1000.0, 6.0, 'right'), (1013.0, 4.1, 'right'), (1000.0, 3.9, 'wrong'),
                                              (1015.0, 6.0, 'wrong'), (1990.0, 1.0, 'brink'), (3000.0, 6.0, 'wrong')):
            self.assertEqual(calibration.verdict(ring(frequency_hz, flagged_s), CLIP), word, frequency_hz)

    def test_a_ring_that_was_never_flagged_counts_from_its_onset(self):
        self.assertEqual(calibration.verdict(ring(1000.0, None, 3.0), CLIP), 'wrong')
        self.assertEqual(calibration.verdict(ring(1000.0, None, 4.5), CLIP), 'right')

    def test_bins_hold_their_lower_edge_and_one_is_in_the_last(self):
        self.assertEqual(calibration.bin_of(0.0), 0)
        self.assertEqual(calibration.EDGES[calibration.bin_of(0.95)], 0.95)
        self.assertEqual(calibration.EDGES[calibration.bin_of(1.0)], 0.99)

    def test_the_share_right_leaves_out_what_is_at_the_brink(self):
        judged = [(0.91, 'right'), (0.93, 'right'), (0.92, 'wrong'), (0.94, 'brink')]
        rows = calibration.table(judged)
        self.assertEqual(len(rows), 1)
        low, high, right, brink, wrong, mean, share = rows[0]
        self.assertEqual((low, high, right, brink, wrong), (0.9, 0.95, 2, 1, 1))
        self.assertAlmostEqual(mean, 0.92)
        self.assertAlmostEqual(share, 2 / 3)


class Validation(unittest.TestCase):
    def test_only_what_lies_between_the_marks_changes(self):
        page = 'before\n<!-- score -->\nold\n<!-- end -->\nbetween\n<!-- other -->\nkept\n<!-- end -->\n'
        self.assertEqual(write_validation.replaced(page, 'score', ['new']),
                         'before\n<!-- score -->\nnew\n<!-- end -->\nbetween\n<!-- other -->\nkept\n<!-- end -->\n')

    def test_a_page_without_the_mark_is_refused(self):
        with self.assertRaises(SystemExit):
            write_validation.replaced('no marks', 'score', ['new'])


if __name__ == '__main__':
    unittest.main()
