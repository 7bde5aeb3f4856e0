// What the app expects of where it runs. To be imported before it.

// Node 20 hasn't this yet.
Promise.withResolvers ??= function () {
    let resolve, reject;
    const promise = new this((res, rej) => ([resolve, reject] = [res, rej]));
    return { promise, resolve, reject };
};

// The app tells its console all that it does. Stdout is for the checks alone; what went wrong goes to stderr.
for (const level of ["trace", "debug", "log", "info", "warn"]) console[level] = () => {};
