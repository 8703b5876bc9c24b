//! A tool whose middle goes where the line goes.

use super::{Step, Task, Worked, depths};

/// Follows the line itself, in passes.
pub(super) fn follow(task: &Task<'_>) -> Worked {
    let segments = task.line.segments();
    let Some(first) = segments.first() else { return Worked::default() };
    let mut steps = vec![Step::Travel { to: first.start }];
    let depths = depths(task);
    for (i, &depth) in depths.iter().enumerate() {
        if i == 0 {
            task.lower(depth, &mut steps);
        } else if task.line.is_closed() {
            task.deepen(depth, &mut steps);
        } else {
            task.raise(&mut steps);
            steps.push(Step::Travel { to: first.start });
            task.lower(depth, &mut steps);
        }
        let feed = task.rule.feed;
        steps.extend(segments.iter().map(|s| Step::Cut { to: s.end, bulge: s.bulge, depth, heading: None, feed }));
    }
    task.raise(&mut steps);
    Worked { steps, passes: depths.len() as u32, ..Worked::default() }
}
