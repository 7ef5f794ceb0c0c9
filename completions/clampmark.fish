# Print an optspec for argparse to handle cmd's options that are independent of any subcommand.
function __fish_clampmark_global_optspecs
    string join \n ledger= json colour= h/help V/version
end

function __fish_clampmark_needs_command
    # Figure out if the current invocation already has a command.
    set -l cmd (commandline -opc)
    set -e cmd[1]
    argparse -s (__fish_clampmark_global_optspecs) -- $cmd 2>/dev/null
    or return
    if set -q argv[1]
        # Also print the command, so this can be used to figure out what it is.
        echo $argv[1]
        return 1
    end
    return 0
end

function __fish_clampmark_using_subcommand
    set -l cmd (__fish_clampmark_needs_command)
    test -z "$cmd"
    and return 1
    contains -- $cmd[1] $argv
end

complete -c clampmark -n "__fish_clampmark_needs_command" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_needs_command" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_needs_command" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_needs_command" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_needs_command" -s V -l version -d 'Print version'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "check" -d 'What is unsafe, impossible or missing, and what to do about it'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "grips" -d 'Where the hands are, how sure that is, and what is missing'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "diff" -d 'What changed between revisions, files, or setup and bike as found'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "found" -d 'An as-found sheet to fill in, or asked for on the terminal'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "restore" -d 'The steps back to the recorded setup, as found or from the box'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "record" -d 'Write an as-found sheet\'s readings into the setup file'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "history" -d 'What changed at each revision, newest first, or one value alone'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "merge" -d 'Merge three versions measure by measure; git calls it after adopt'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "adopt" -d 'Make git diff, merge and check setups here measure by measure'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "gate" -d 'Check what is staged for the next commit; a fault stops it'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "git-diff" -d 'What git calls to show a difference'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "git-text" -d 'What git calls to list a file'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "torque" -d 'What each joint may be tightened to, and how to set the wrench'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "turn" -d 'Turn the bars: what nears the top tube, and which hose goes tight'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "completions" -d 'Completions of this program\'s words for a shell'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "new" -d 'A fresh setup file that teaches how each thing is measured'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "tour" -d 'Build a small demo ledger to play with, and walk through it'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "body" -d 'Where your arm points, and how levers and brakes lie to it'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "carry" -d 'Put your hands in the same place on another bike, with a box of parts'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "try" -d 'What a change would do, before you loosen a bolt'
complete -c clampmark -n "__fish_clampmark_needs_command" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand check" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l at -d 'As it was at a revision: a hash, a tag, a branch, HEAD~3' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l why -d 'Which readings the ± of one derived value comes from, largest share first: grip-stack, grip.left.z, trail…' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand grips" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l found -d 'An as-found sheet: compare the recorded setup with the bike as it was found' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l all -d 'List everything, also what differs within reading and every derived value'
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand diff" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l after -d 'What happened to the bike; only what is then worth looking at' -r -f -a "flight\t'It was boxed for travel'
loan\t'Somebody else rode it'"
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l to -d 'Where the sheet goes: a file, or - for the screen (with --json, as `text`). Beside the setup if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l date -d 'The day of the readings, year-month-day; today if not given' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l ask -d 'Ask on the terminal, one measure at a time; every answer is kept at once'
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand found" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l at -d 'Back to how it was at this revision: a tag, a branch, a hash, HEAD~3' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l found -d 'The as-found sheet: only what moved is touched. Without it the steps are a full rebuild' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand restore" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l found -d 'The as-found sheet' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l even-so -d 'Write this measure even where by its reading nobody is to ride: without this it is held back. May be given again' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -s m -l message -d 'The commit\'s message, with --commit' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l all -d 'Write everything that the sheet reads, with its day: also what differs only within reading, or not at all'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l mark -d 'The marks were drawn anew at the new positions: write that, too. Also those that had no line any more, where the sheet reads all that they show'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l put-back -d 'The bike stands as recorded again: what was tightened, damage and notes are written, and no reading'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l commit -d 'Commit the setup file, and only that, if it has no fault; needs a message, -m TEXT. It is checked as the gate before a commit checks it. No other hook runs'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand record" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l since -d 'Only what came here since this day (2026-05-02, the day itself included; a rebase brings what was written before) or after this revision' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l all -d 'Follow every branch that was merged, not only the line the merges went into; of a merge what differs from all it merged is told, and what it did not take of them'
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l marks -d 'When each witness mark was drawn and when it went stale; of named measures the marks that fix them'
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l csv -d 'Print comma-separated values'
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand history" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l path -d 'What the file is called, for the messages' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l marker-size -d 'How many letters long git makes the marks of a conflict in this file' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l base-label -d 'Where the version comes from that both sides came from' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l ours-label -d 'Where our version comes from: a branch, a commit' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l theirs-label -d 'Where their version comes from' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand merge" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand adopt" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand adopt" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand adopt" -l undo -d 'Take everything away again that was put in, and nothing else'
complete -c clampmark -n "__fish_clampmark_using_subcommand adopt" -l dry-run -d 'Only show what would be done'
complete -c clampmark -n "__fish_clampmark_using_subcommand adopt" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand adopt" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand gate" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand gate" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand gate" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand gate" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand git-diff" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand git-diff" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand git-diff" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand git-diff" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand git-text" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand git-text" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand git-text" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand git-text" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l at -d 'As it was at this revision: a tag, a branch, a hash, HEAD~3' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l wrench -d 'The wrench: what it may deviate in per cent (6%), or the name of one of the file\'s wrenches. The file\'s only wrench if not given' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l extension -d 'An extension on the wrench\'s drive: the wrench\'s length from the middle of the handle to the drive, the extension\'s length from the drive to the bolt, both in mm, and the angle between them in degrees (0 in line)' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand torque" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l at -d 'At this revision: a hash, a tag, a branch, HEAD~3; the working file if not given' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l to -d 'To one steering angle: the clearances and the slack there, and the least on the way. Degrees, positive to the left, negative to the right' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand turn" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand completions" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand new" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand new" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand new" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand new" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand tour" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand tour" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand tour" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand tour" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand body" -l at -d 'As it was at this revision' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand body" -l elbow -d 'How far the elbow is opened, in degrees; 180 is a straight arm. Taken as ± 5' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand body" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand body" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand body" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand body" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l onto -d 'The setup of the other bike' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l parts -d 'The box of parts; without it, what is on the other bike' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l write -d 'Write the best that can be ridden as a new setup for the other bike: a name such as alder/race, or a path that ends in .kdl' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l pick -d 'Write this one of the list, counted from 1, whatever is wrong with it' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand carry" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l at -d 'On the setup as it was at this revision' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l keep -d 'Keep this derived value (grip-stack, grip-reach …) where it was' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l by -d 'The measure that gives way for it' -r
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l write -d 'Write the result as a new setup: a name such as rowan/tried, or a path that ends in .kdl. A pile that no usual spacers make is not written: give its height, such as steerer.spacers-below:=20' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l ledger -d 'The folder that holds `setups/`; found upward from here if not given' -r -F
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l colour -d 'Colour: it only repeats what the words say' -r -f -a "auto\t'On a terminal, unless `NO_COLOR` is set'
always\t'Always'
never\t'Never'"
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -l json -d 'Print one JSON object in place of the page'
complete -c clampmark -n "__fish_clampmark_using_subcommand try" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "check" -d 'What is unsafe, impossible or missing, and what to do about it'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "grips" -d 'Where the hands are, how sure that is, and what is missing'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "diff" -d 'What changed between revisions, files, or setup and bike as found'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "found" -d 'An as-found sheet to fill in, or asked for on the terminal'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "restore" -d 'The steps back to the recorded setup, as found or from the box'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "record" -d 'Write an as-found sheet\'s readings into the setup file'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "history" -d 'What changed at each revision, newest first, or one value alone'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "merge" -d 'Merge three versions measure by measure; git calls it after adopt'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "adopt" -d 'Make git diff, merge and check setups here measure by measure'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "gate" -d 'Check what is staged for the next commit; a fault stops it'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "git-diff" -d 'What git calls to show a difference'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "git-text" -d 'What git calls to list a file'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "torque" -d 'What each joint may be tightened to, and how to set the wrench'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "turn" -d 'Turn the bars: what nears the top tube, and which hose goes tight'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "completions" -d 'Completions of this program\'s words for a shell'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "new" -d 'A fresh setup file that teaches how each thing is measured'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "tour" -d 'Build a small demo ledger to play with, and walk through it'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "body" -d 'Where your arm points, and how levers and brakes lie to it'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "carry" -d 'Put your hands in the same place on another bike, with a box of parts'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "try" -d 'What a change would do, before you loosen a bolt'
complete -c clampmark -n "__fish_clampmark_using_subcommand help; and not __fish_seen_subcommand_from check grips diff found restore record history merge adopt gate git-diff git-text torque turn completions new tour body carry try help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
