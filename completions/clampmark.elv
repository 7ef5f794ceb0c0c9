
use builtin;
use str;

set edit:completion:arg-completer[clampmark] = {|@words|
    fn spaces {|n|
        builtin:repeat $n ' ' | str:join ''
    }
    fn cand {|text desc|
        edit:complex-candidate $text &display=$text' '(spaces (- 14 (wcswidth $text)))$desc
    }
    var command = 'clampmark'
    for word $words[1..-1] {
        if (str:has-prefix $word '-') {
            break
        }
        set command = $command';'$word
    }
    var completions = [
        &'clampmark'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
            cand -V 'Print version'
            cand --version 'Print version'
            cand check 'What is unsafe, impossible or missing, and what to do about it'
            cand grips 'Where the hands are, how sure that is, and what is missing'
            cand diff 'What changed between revisions, files, or setup and bike as found'
            cand found 'An as-found sheet to fill in, or asked for on the terminal'
            cand restore 'The steps back to the recorded setup, as found or from the box'
            cand record 'Write an as-found sheet''s readings into the setup file'
            cand history 'What changed at each revision, newest first, or one value alone'
            cand merge 'Merge three versions measure by measure; git calls it after adopt'
            cand adopt 'Make git diff, merge and check setups here measure by measure'
            cand gate 'Check what is staged for the next commit; a fault stops it'
            cand git-diff 'What git calls to show a difference'
            cand git-text 'What git calls to list a file'
            cand torque 'What each joint may be tightened to, and how to set the wrench'
            cand turn 'Turn the bars: what nears the top tube, and which hose goes tight'
            cand completions 'Completions of this program''s words for a shell'
            cand new 'A fresh setup file that teaches how each thing is measured'
            cand tour 'Build a small demo ledger to play with, and walk through it'
            cand body 'Where your arm points, and how levers and brakes lie to it'
            cand carry 'Put your hands in the same place on another bike, with a box of parts'
            cand try 'What a change would do, before you loosen a bolt'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'clampmark;check'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;grips'= {
            cand --at 'As it was at a revision: a hash, a tag, a branch, HEAD~3'
            cand --why 'Which readings the ± of one derived value comes from, largest share first: grip-stack, grip.left.z, trail…'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;diff'= {
            cand --found 'An as-found sheet: compare the recorded setup with the bike as it was found'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --all 'List everything, also what differs within reading and every derived value'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;found'= {
            cand --after 'What happened to the bike; only what is then worth looking at'
            cand --to 'Where the sheet goes: a file, or - for the screen (with --json, as `text`). Beside the setup if not given'
            cand --date 'The day of the readings, year-month-day; today if not given'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --ask 'Ask on the terminal, one measure at a time; every answer is kept at once'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;restore'= {
            cand --at 'Back to how it was at this revision: a tag, a branch, a hash, HEAD~3'
            cand --found 'The as-found sheet: only what moved is touched. Without it the steps are a full rebuild'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;record'= {
            cand --found 'The as-found sheet'
            cand --even-so 'Write this measure even where by its reading nobody is to ride: without this it is held back. May be given again'
            cand -m 'The commit''s message, with --commit'
            cand --message 'The commit''s message, with --commit'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --all 'Write everything that the sheet reads, with its day: also what differs only within reading, or not at all'
            cand --mark 'The marks were drawn anew at the new positions: write that, too. Also those that had no line any more, where the sheet reads all that they show'
            cand --put-back 'The bike stands as recorded again: what was tightened, damage and notes are written, and no reading'
            cand --commit 'Commit the setup file, and only that, if it has no fault; needs a message, -m TEXT. It is checked as the gate before a commit checks it. No other hook runs'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;history'= {
            cand --since 'Only what came here since this day (2026-05-02, the day itself included; a rebase brings what was written before) or after this revision'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --all 'Follow every branch that was merged, not only the line the merges went into; of a merge what differs from all it merged is told, and what it did not take of them'
            cand --marks 'When each witness mark was drawn and when it went stale; of named measures the marks that fix them'
            cand --csv 'Print comma-separated values'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;merge'= {
            cand --path 'What the file is called, for the messages'
            cand --marker-size 'How many letters long git makes the marks of a conflict in this file'
            cand --base-label 'Where the version comes from that both sides came from'
            cand --ours-label 'Where our version comes from: a branch, a commit'
            cand --theirs-label 'Where their version comes from'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;adopt'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --undo 'Take everything away again that was put in, and nothing else'
            cand --dry-run 'Only show what would be done'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;gate'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;git-diff'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;git-text'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;torque'= {
            cand --at 'As it was at this revision: a tag, a branch, a hash, HEAD~3'
            cand --wrench 'The wrench: what it may deviate in per cent (6%), or the name of one of the file''s wrenches. The file''s only wrench if not given'
            cand --extension 'An extension on the wrench''s drive: the wrench''s length from the middle of the handle to the drive, the extension''s length from the drive to the bolt, both in mm, and the angle between them in degrees (0 in line)'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;turn'= {
            cand --at 'At this revision: a hash, a tag, a branch, HEAD~3; the working file if not given'
            cand --to 'To one steering angle: the clearances and the slack there, and the least on the way. Degrees, positive to the left, negative to the right'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;completions'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;new'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;tour'= {
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;body'= {
            cand --at 'As it was at this revision'
            cand --elbow 'How far the elbow is opened, in degrees; 180 is a straight arm. Taken as ± 5'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;carry'= {
            cand --onto 'The setup of the other bike'
            cand --parts 'The box of parts; without it, what is on the other bike'
            cand --write 'Write the best that can be ridden as a new setup for the other bike: a name such as alder/race, or a path that ends in .kdl'
            cand --pick 'Write this one of the list, counted from 1, whatever is wrong with it'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;try'= {
            cand --at 'On the setup as it was at this revision'
            cand --keep 'Keep this derived value (grip-stack, grip-reach …) where it was'
            cand --by 'The measure that gives way for it'
            cand --write 'Write the result as a new setup: a name such as rowan/tried, or a path that ends in .kdl. A pile that no usual spacers make is not written: give its height, such as steerer.spacers-below:=20'
            cand --ledger 'The folder that holds `setups/`; found upward from here if not given'
            cand --colour 'Colour: it only repeats what the words say'
            cand --json 'Print one JSON object in place of the page'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'clampmark;help'= {
            cand check 'What is unsafe, impossible or missing, and what to do about it'
            cand grips 'Where the hands are, how sure that is, and what is missing'
            cand diff 'What changed between revisions, files, or setup and bike as found'
            cand found 'An as-found sheet to fill in, or asked for on the terminal'
            cand restore 'The steps back to the recorded setup, as found or from the box'
            cand record 'Write an as-found sheet''s readings into the setup file'
            cand history 'What changed at each revision, newest first, or one value alone'
            cand merge 'Merge three versions measure by measure; git calls it after adopt'
            cand adopt 'Make git diff, merge and check setups here measure by measure'
            cand gate 'Check what is staged for the next commit; a fault stops it'
            cand git-diff 'What git calls to show a difference'
            cand git-text 'What git calls to list a file'
            cand torque 'What each joint may be tightened to, and how to set the wrench'
            cand turn 'Turn the bars: what nears the top tube, and which hose goes tight'
            cand completions 'Completions of this program''s words for a shell'
            cand new 'A fresh setup file that teaches how each thing is measured'
            cand tour 'Build a small demo ledger to play with, and walk through it'
            cand body 'Where your arm points, and how levers and brakes lie to it'
            cand carry 'Put your hands in the same place on another bike, with a box of parts'
            cand try 'What a change would do, before you loosen a bolt'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'clampmark;help;check'= {
        }
        &'clampmark;help;grips'= {
        }
        &'clampmark;help;diff'= {
        }
        &'clampmark;help;found'= {
        }
        &'clampmark;help;restore'= {
        }
        &'clampmark;help;record'= {
        }
        &'clampmark;help;history'= {
        }
        &'clampmark;help;merge'= {
        }
        &'clampmark;help;adopt'= {
        }
        &'clampmark;help;gate'= {
        }
        &'clampmark;help;git-diff'= {
        }
        &'clampmark;help;git-text'= {
        }
        &'clampmark;help;torque'= {
        }
        &'clampmark;help;turn'= {
        }
        &'clampmark;help;completions'= {
        }
        &'clampmark;help;new'= {
        }
        &'clampmark;help;tour'= {
        }
        &'clampmark;help;body'= {
        }
        &'clampmark;help;carry'= {
        }
        &'clampmark;help;try'= {
        }
        &'clampmark;help;help'= {
        }
    ]
    $completions[$command]
}
