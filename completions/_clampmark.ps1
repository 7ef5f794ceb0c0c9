
using namespace System.Management.Automation
using namespace System.Management.Automation.Language

Register-ArgumentCompleter -Native -CommandName 'clampmark' -ScriptBlock {
    param($wordToComplete, $commandAst, $cursorPosition)

    $commandElements = $commandAst.CommandElements
    $command = @(
        'clampmark'
        for ($i = 1; $i -lt $commandElements.Count; $i++) {
            $element = $commandElements[$i]
            if ($element -isnot [StringConstantExpressionAst] -or
                $element.StringConstantType -ne [StringConstantType]::BareWord -or
                $element.Value.StartsWith('-') -or
                $element.Value -eq $wordToComplete) {
                break
        }
        $element.Value
    }) -join ';'

    $completions = @(switch ($command) {
        'clampmark' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('-V', '-V ', [CompletionResultType]::ParameterName, 'Print version')
            [CompletionResult]::new('--version', '--version', [CompletionResultType]::ParameterName, 'Print version')
            [CompletionResult]::new('check', 'check', [CompletionResultType]::ParameterValue, 'What is unsafe, impossible or missing, and what to do about it')
            [CompletionResult]::new('grips', 'grips', [CompletionResultType]::ParameterValue, 'Where the hands are, how sure that is, and what is missing')
            [CompletionResult]::new('diff', 'diff', [CompletionResultType]::ParameterValue, 'What changed between revisions, files, or setup and bike as found')
            [CompletionResult]::new('found', 'found', [CompletionResultType]::ParameterValue, 'An as-found sheet to fill in, or asked for on the terminal')
            [CompletionResult]::new('restore', 'restore', [CompletionResultType]::ParameterValue, 'The steps back to the recorded setup, as found or from the box')
            [CompletionResult]::new('record', 'record', [CompletionResultType]::ParameterValue, 'Write an as-found sheet''s readings into the setup file')
            [CompletionResult]::new('history', 'history', [CompletionResultType]::ParameterValue, 'What changed at each revision, newest first, or one value alone')
            [CompletionResult]::new('merge', 'merge', [CompletionResultType]::ParameterValue, 'Merge three versions measure by measure; git calls it after adopt')
            [CompletionResult]::new('adopt', 'adopt', [CompletionResultType]::ParameterValue, 'Make git diff, merge and check setups here measure by measure')
            [CompletionResult]::new('gate', 'gate', [CompletionResultType]::ParameterValue, 'Check what is staged for the next commit; a fault stops it')
            [CompletionResult]::new('git-diff', 'git-diff', [CompletionResultType]::ParameterValue, 'What git calls to show a difference')
            [CompletionResult]::new('git-text', 'git-text', [CompletionResultType]::ParameterValue, 'What git calls to list a file')
            [CompletionResult]::new('torque', 'torque', [CompletionResultType]::ParameterValue, 'What each joint may be tightened to, and how to set the wrench')
            [CompletionResult]::new('turn', 'turn', [CompletionResultType]::ParameterValue, 'Turn the bars: what nears the top tube, and which hose goes tight')
            [CompletionResult]::new('completions', 'completions', [CompletionResultType]::ParameterValue, 'Completions of this program''s words for a shell')
            [CompletionResult]::new('new', 'new', [CompletionResultType]::ParameterValue, 'A fresh setup file that teaches how each thing is measured')
            [CompletionResult]::new('tour', 'tour', [CompletionResultType]::ParameterValue, 'Build a small demo ledger to play with, and walk through it')
            [CompletionResult]::new('body', 'body', [CompletionResultType]::ParameterValue, 'Where your arm points, and how levers and brakes lie to it')
            [CompletionResult]::new('carry', 'carry', [CompletionResultType]::ParameterValue, 'Put your hands in the same place on another bike, with a box of parts')
            [CompletionResult]::new('try', 'try', [CompletionResultType]::ParameterValue, 'What a change would do, before you loosen a bolt')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'clampmark;check' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;grips' {
            [CompletionResult]::new('--at', '--at', [CompletionResultType]::ParameterName, 'As it was at a revision: a hash, a tag, a branch, HEAD~3')
            [CompletionResult]::new('--why', '--why', [CompletionResultType]::ParameterName, 'Which readings the ± of one derived value comes from, largest share first: grip-stack, grip.left.z, trail…')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;diff' {
            [CompletionResult]::new('--found', '--found', [CompletionResultType]::ParameterName, 'An as-found sheet: compare the recorded setup with the bike as it was found')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--all', '--all', [CompletionResultType]::ParameterName, 'List everything, also what differs within reading and every derived value')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;found' {
            [CompletionResult]::new('--after', '--after', [CompletionResultType]::ParameterName, 'What happened to the bike; only what is then worth looking at')
            [CompletionResult]::new('--to', '--to', [CompletionResultType]::ParameterName, 'Where the sheet goes: a file, or - for the screen (with --json, as `text`). Beside the setup if not given')
            [CompletionResult]::new('--date', '--date', [CompletionResultType]::ParameterName, 'The day of the readings, year-month-day; today if not given')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--ask', '--ask', [CompletionResultType]::ParameterName, 'Ask on the terminal, one measure at a time; every answer is kept at once')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;restore' {
            [CompletionResult]::new('--at', '--at', [CompletionResultType]::ParameterName, 'Back to how it was at this revision: a tag, a branch, a hash, HEAD~3')
            [CompletionResult]::new('--found', '--found', [CompletionResultType]::ParameterName, 'The as-found sheet: only what moved is touched. Without it the steps are a full rebuild')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;record' {
            [CompletionResult]::new('--found', '--found', [CompletionResultType]::ParameterName, 'The as-found sheet')
            [CompletionResult]::new('--even-so', '--even-so', [CompletionResultType]::ParameterName, 'Write this measure even where by its reading nobody is to ride: without this it is held back. May be given again')
            [CompletionResult]::new('-m', '-m', [CompletionResultType]::ParameterName, 'The commit''s message, with --commit')
            [CompletionResult]::new('--message', '--message', [CompletionResultType]::ParameterName, 'The commit''s message, with --commit')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--all', '--all', [CompletionResultType]::ParameterName, 'Write everything that the sheet reads, with its day: also what differs only within reading, or not at all')
            [CompletionResult]::new('--mark', '--mark', [CompletionResultType]::ParameterName, 'The marks were drawn anew at the new positions: write that, too. Also those that had no line any more, where the sheet reads all that they show')
            [CompletionResult]::new('--put-back', '--put-back', [CompletionResultType]::ParameterName, 'The bike stands as recorded again: what was tightened, damage and notes are written, and no reading')
            [CompletionResult]::new('--commit', '--commit', [CompletionResultType]::ParameterName, 'Commit the setup file, and only that, if it has no fault; needs a message, -m TEXT. It is checked as the gate before a commit checks it. No other hook runs')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;history' {
            [CompletionResult]::new('--since', '--since', [CompletionResultType]::ParameterName, 'Only what came here since this day (2026-05-02, the day itself included; a rebase brings what was written before) or after this revision')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--all', '--all', [CompletionResultType]::ParameterName, 'Follow every branch that was merged, not only the line the merges went into; of a merge what differs from all it merged is told, and what it did not take of them')
            [CompletionResult]::new('--marks', '--marks', [CompletionResultType]::ParameterName, 'When each witness mark was drawn and when it went stale; of named measures the marks that fix them')
            [CompletionResult]::new('--csv', '--csv', [CompletionResultType]::ParameterName, 'Print comma-separated values')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;merge' {
            [CompletionResult]::new('--path', '--path', [CompletionResultType]::ParameterName, 'What the file is called, for the messages')
            [CompletionResult]::new('--marker-size', '--marker-size', [CompletionResultType]::ParameterName, 'How many letters long git makes the marks of a conflict in this file')
            [CompletionResult]::new('--base-label', '--base-label', [CompletionResultType]::ParameterName, 'Where the version comes from that both sides came from')
            [CompletionResult]::new('--ours-label', '--ours-label', [CompletionResultType]::ParameterName, 'Where our version comes from: a branch, a commit')
            [CompletionResult]::new('--theirs-label', '--theirs-label', [CompletionResultType]::ParameterName, 'Where their version comes from')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;adopt' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--undo', '--undo', [CompletionResultType]::ParameterName, 'Take everything away again that was put in, and nothing else')
            [CompletionResult]::new('--dry-run', '--dry-run', [CompletionResultType]::ParameterName, 'Only show what would be done')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;gate' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;git-diff' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;git-text' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;torque' {
            [CompletionResult]::new('--at', '--at', [CompletionResultType]::ParameterName, 'As it was at this revision: a tag, a branch, a hash, HEAD~3')
            [CompletionResult]::new('--wrench', '--wrench', [CompletionResultType]::ParameterName, 'The wrench: what it may deviate in per cent (6%), or the name of one of the file''s wrenches. The file''s only wrench if not given')
            [CompletionResult]::new('--extension', '--extension', [CompletionResultType]::ParameterName, 'An extension on the wrench''s drive: the wrench''s length from the middle of the handle to the drive, the extension''s length from the drive to the bolt, both in mm, and the angle between them in degrees (0 in line)')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;turn' {
            [CompletionResult]::new('--at', '--at', [CompletionResultType]::ParameterName, 'At this revision: a hash, a tag, a branch, HEAD~3; the working file if not given')
            [CompletionResult]::new('--to', '--to', [CompletionResultType]::ParameterName, 'To one steering angle: the clearances and the slack there, and the least on the way. Degrees, positive to the left, negative to the right')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;completions' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;new' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;tour' {
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;body' {
            [CompletionResult]::new('--at', '--at', [CompletionResultType]::ParameterName, 'As it was at this revision')
            [CompletionResult]::new('--elbow', '--elbow', [CompletionResultType]::ParameterName, 'How far the elbow is opened, in degrees; 180 is a straight arm. Taken as ± 5')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;carry' {
            [CompletionResult]::new('--onto', '--onto', [CompletionResultType]::ParameterName, 'The setup of the other bike')
            [CompletionResult]::new('--parts', '--parts', [CompletionResultType]::ParameterName, 'The box of parts; without it, what is on the other bike')
            [CompletionResult]::new('--write', '--write', [CompletionResultType]::ParameterName, 'Write the best that can be ridden as a new setup for the other bike: a name such as alder/race, or a path that ends in .kdl')
            [CompletionResult]::new('--pick', '--pick', [CompletionResultType]::ParameterName, 'Write this one of the list, counted from 1, whatever is wrong with it')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;try' {
            [CompletionResult]::new('--at', '--at', [CompletionResultType]::ParameterName, 'On the setup as it was at this revision')
            [CompletionResult]::new('--keep', '--keep', [CompletionResultType]::ParameterName, 'Keep this derived value (grip-stack, grip-reach …) where it was')
            [CompletionResult]::new('--by', '--by', [CompletionResultType]::ParameterName, 'The measure that gives way for it')
            [CompletionResult]::new('--write', '--write', [CompletionResultType]::ParameterName, 'Write the result as a new setup: a name such as rowan/tried, or a path that ends in .kdl. A pile that no usual spacers make is not written: give its height, such as steerer.spacers-below:=20')
            [CompletionResult]::new('--ledger', '--ledger', [CompletionResultType]::ParameterName, 'The folder that holds `setups/`; found upward from here if not given')
            [CompletionResult]::new('--colour', '--colour', [CompletionResultType]::ParameterName, 'Colour: it only repeats what the words say')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Print one JSON object in place of the page')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'clampmark;help' {
            [CompletionResult]::new('check', 'check', [CompletionResultType]::ParameterValue, 'What is unsafe, impossible or missing, and what to do about it')
            [CompletionResult]::new('grips', 'grips', [CompletionResultType]::ParameterValue, 'Where the hands are, how sure that is, and what is missing')
            [CompletionResult]::new('diff', 'diff', [CompletionResultType]::ParameterValue, 'What changed between revisions, files, or setup and bike as found')
            [CompletionResult]::new('found', 'found', [CompletionResultType]::ParameterValue, 'An as-found sheet to fill in, or asked for on the terminal')
            [CompletionResult]::new('restore', 'restore', [CompletionResultType]::ParameterValue, 'The steps back to the recorded setup, as found or from the box')
            [CompletionResult]::new('record', 'record', [CompletionResultType]::ParameterValue, 'Write an as-found sheet''s readings into the setup file')
            [CompletionResult]::new('history', 'history', [CompletionResultType]::ParameterValue, 'What changed at each revision, newest first, or one value alone')
            [CompletionResult]::new('merge', 'merge', [CompletionResultType]::ParameterValue, 'Merge three versions measure by measure; git calls it after adopt')
            [CompletionResult]::new('adopt', 'adopt', [CompletionResultType]::ParameterValue, 'Make git diff, merge and check setups here measure by measure')
            [CompletionResult]::new('gate', 'gate', [CompletionResultType]::ParameterValue, 'Check what is staged for the next commit; a fault stops it')
            [CompletionResult]::new('git-diff', 'git-diff', [CompletionResultType]::ParameterValue, 'What git calls to show a difference')
            [CompletionResult]::new('git-text', 'git-text', [CompletionResultType]::ParameterValue, 'What git calls to list a file')
            [CompletionResult]::new('torque', 'torque', [CompletionResultType]::ParameterValue, 'What each joint may be tightened to, and how to set the wrench')
            [CompletionResult]::new('turn', 'turn', [CompletionResultType]::ParameterValue, 'Turn the bars: what nears the top tube, and which hose goes tight')
            [CompletionResult]::new('completions', 'completions', [CompletionResultType]::ParameterValue, 'Completions of this program''s words for a shell')
            [CompletionResult]::new('new', 'new', [CompletionResultType]::ParameterValue, 'A fresh setup file that teaches how each thing is measured')
            [CompletionResult]::new('tour', 'tour', [CompletionResultType]::ParameterValue, 'Build a small demo ledger to play with, and walk through it')
            [CompletionResult]::new('body', 'body', [CompletionResultType]::ParameterValue, 'Where your arm points, and how levers and brakes lie to it')
            [CompletionResult]::new('carry', 'carry', [CompletionResultType]::ParameterValue, 'Put your hands in the same place on another bike, with a box of parts')
            [CompletionResult]::new('try', 'try', [CompletionResultType]::ParameterValue, 'What a change would do, before you loosen a bolt')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'clampmark;help;check' {
            break
        }
        'clampmark;help;grips' {
            break
        }
        'clampmark;help;diff' {
            break
        }
        'clampmark;help;found' {
            break
        }
        'clampmark;help;restore' {
            break
        }
        'clampmark;help;record' {
            break
        }
        'clampmark;help;history' {
            break
        }
        'clampmark;help;merge' {
            break
        }
        'clampmark;help;adopt' {
            break
        }
        'clampmark;help;gate' {
            break
        }
        'clampmark;help;git-diff' {
            break
        }
        'clampmark;help;git-text' {
            break
        }
        'clampmark;help;torque' {
            break
        }
        'clampmark;help;turn' {
            break
        }
        'clampmark;help;completions' {
            break
        }
        'clampmark;help;new' {
            break
        }
        'clampmark;help;tour' {
            break
        }
        'clampmark;help;body' {
            break
        }
        'clampmark;help;carry' {
            break
        }
        'clampmark;help;try' {
            break
        }
        'clampmark;help;help' {
            break
        }
    })

    $completions.Where{ $_.CompletionText -like "$wordToComplete*" } |
        Sort-Object -Property ListItemText
}
